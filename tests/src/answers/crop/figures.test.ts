/** What came of some bags, each figure worked out by hand beside the check. */

import { describe, expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { type CropFigures, cropFigures } from '../../../../src/answers/crop/figures.ts';
import { meanInterval } from '../../../../src/answers/crop/intervals.ts';
import { entry, harvests, livesOf, season } from './book.ts';

const figures = (notes: readonly Note[], batch = 'spring', only = 12): CropFigures =>
  cropFigures(season, notes, livesOf(notes, batch).slice(0, only));

describe('the figures of a lot', () => {
  it('weigh each bag, and hold it against the dry mass of its mix', () => {
    // By hand: 80, 90, 100, 110 g; mean 95, standard deviation √(500/3) = 12.910, error 6.455; t of 3 is 3.182: ± 20.54.
    const { freshG, efficiency, harvested, standing, totalFreshG } = figures(
      harvests('spring', 1, '2026-06-01', [80, 90, 100, 110]),
    );
    expect({ harvested, standing, totalFreshG }).toEqual({ harvested: 4, standing: 8, totalFreshG: 380 });
    expect(freshG).toMatchObject({ mean: 95, bags: 4 });
    const interval = sure(meanInterval(sure(freshG)));
    expect(interval.low).toBeCloseTo(74.46, 2);
    expect(interval.high).toBeCloseTo(115.54, 2);
    // 2.2 kg at 60 % moisture hold 0.88 kg of dry mix: 95 g are 10.795 % of that.
    expect(efficiency?.mean).toBeCloseTo(0.10795, 5);
  });

  it('take the dry mass that was kept at sealing before that of the plan', () => {
    const sheet = { wetKg: 2, dryKg: 0.8, figures: {} };
    const words = { heading: '', rows: [], height: '', remarks: [] };
    const kept = { roster: [{ zone: 'A', bags: 4 }], sheet: { ...sheet, metric: words, us: words } };
    const notes = [
      entry('spring', 'sealed', '2026-02-16', { sealed: kept }),
      ...harvests('spring', 1, '2026-06-01', [80]),
    ];
    expect(figures(notes).efficiency?.mean).toBeCloseTo(0.1, 9);
  });

  it('take the days to knobs from knobs that were seen before a stage that was begun', () => {
    const began = (stage: string, iso: string) => entry('spring', 'began', iso, { stage });
    const begun = began('climb', '2026-03-30');
    expect(figures([begun]).knobsDays?.mean).toBe(42);
    expect(figures([begun, began('knobs', '2026-04-01')]).knobsDays?.mean).toBe(44);
  });

  it('count what was lost by cause and week', () => {
    // 16 February plus 28 days is 16 March: day 28 is the first of week 5.
    const { lost, losses } = figures([
      entry('spring-2', 'cull', '2026-03-16'),
      entry('spring-7', 'cull', '2026-03-15'),
      entry('spring-9', 'cull', '2026-05-01', { why: 'leak' }),
    ]);
    expect(lost).toEqual({ count: 3, of: 12 });
    // 1 May is day 74, of week 11.
    expect(losses).toEqual([
      { why: 'mould', weeks: [4, 5] },
      { why: 'leak', weeks: [11] },
    ]);
  });

  it('take knobs seen of a whole batch for one observation, and a bag’s own before it', () => {
    const whole = figures([entry('spring', 'began', '2026-03-30', { stage: 'knobs' })]);
    expect(whole.knobsDays).toMatchObject({ mean: 42, bags: 12, error: undefined });
    const own = figures([
      entry('spring', 'began', '2026-03-30', { stage: 'knobs' }),
      entry('spring-1', 'began', '2026-03-24', { stage: 'knobs' }),
    ]);
    // (11 · 42 + 36) / 12 = 41.5
    expect(own.knobsDays).toMatchObject({ mean: 41.5, bags: 12, error: { freedom: 1 } });
  });

  it('take bags weighed together for one observation, and leave out those weighed with bags of elsewhere', () => {
    const together = [1, 2, 3, 4].map((n) =>
      entry(`spring-${n}`, 'harvest', '2026-06-01', { massG: 90, together: 4 }),
    );
    const all = figures([...together, ...harvests('spring', 5, '2026-06-02', [100])]);
    // (4 · 90 + 100) / 5 = 92
    expect(all.freshG).toMatchObject({ mean: 92, bags: 5, values: [90, 100], error: { freedom: 1 } });
    expect(all.weighedAcross).toBe(0);
    const half = figures(together, 'spring', 2);
    expect(half).toMatchObject({ freshG: undefined, weighedAcross: 2, totalFreshG: 180, harvested: 2 });
  });

  it('are of dried mass only where each bag of a weighing was dried', () => {
    const notes = [
      ...harvests('spring', 1, '2026-06-01', [80, 90]),
      entry('spring-1', 'harvest', '2026-06-05', { dryG: 24 }),
    ];
    expect(figures(notes).dryG).toMatchObject({ mean: 24, bags: 1 });
  });
});

describe('the growth of bags', () => {
  it('is the mean of the bags’ own rates', () => {
    // 20 to 62 mm in 14 days is 3 mm a day; 10 to 38 mm in 14 days is 2.
    const heights = (bag: string, first: number, last: number): Note[] => [
      entry(bag, 'note', '2026-04-06', { heightMm: first }),
      entry(bag, 'note', '2026-04-20', { heightMm: last }),
    ];
    const { growth } = figures([...heights('spring-1', 20, 62), ...heights('spring-2', 10, 38)]);
    expect(growth).toMatchObject({ bags: 2 });
    expect(growth?.mean).toBeCloseTo(2.5, 9);
  });

  it('takes no height of nothing, none after the first colour, and none of days too close', () => {
    const note = (iso: string, heightMm: number): Note => entry('spring-1', 'note', iso, { heightMm });
    const climbing = [note('2026-04-06', 20), note('2026-04-20', 62)];
    const rate = (notes: readonly Note[]): number | undefined => figures(notes).growth?.mean;
    expect(rate([...climbing, note('2026-03-20', 0)])).toBeCloseTo(3, 9);
    const coloured = entry('spring-1', 'began', '2026-05-01', { stage: 'colour' });
    expect(rate([...climbing, note('2026-05-20', 70), coloured])).toBeCloseTo(3, 9);
    expect(rate([note('2026-04-06', 20), note('2026-04-08', 40)])).toBeUndefined();
  });
});

describe('the lean reached', () => {
  const lean = (bag: string, iso: string, leanDeg: number, leanSideDeg?: number): Note =>
    entry(bag, 'note', iso, { leanDeg, leanSideDeg });

  it('counts toward the side that was lit, also on the day of the harvest', () => {
    // Bags 5 to 8 stand in B, which holds left (270°).
    const notes = [
      lean('spring-5', '2026-05-20', 30, 270),
      lean('spring-6', '2026-05-20', 20, 0),
      lean('spring-7', '2026-06-01', 10, 90),
      lean('spring-8', '2026-05-20', 25),
      entry('spring-7', 'harvest', '2026-06-01', { massG: 80 }),
    ];
    const { leanDeg, leanReached, offUprightDeg } = figures(notes);
    // 30°, 20° · cos 90° = 0 and −10°; the bag whose side nobody noted is in neither.
    expect(leanDeg?.mean).toBeCloseTo(20 / 3, 6);
    expect(leanReached).toEqual({ count: 1, of: 3 });
    expect(offUprightDeg).toBeUndefined();
  });

  it('follows the side of the day where it sways, and is from the vertical where no side was asked for', () => {
    // A sways from 30 March on: left to 5 April, right from 6 to 12 April.
    const { leanDeg, leanReached, offUprightDeg } = figures([
      lean('spring-1', '2026-04-10', 12, 90),
      lean('spring-2', '2026-04-03', 12, 90),
      lean('spring-9', '2026-05-01', 7, 45),
      // Swaying is over: it ripens upright, and no side was held before.
      lean('spring-4', '2026-05-20', 9, 90),
    ]);
    expect(leanDeg?.values.map(Math.round).sort((a, b) => a - b)).toEqual([-12, 12]);
    expect(leanReached).toEqual({ count: 1, of: 2 });
    expect(offUprightDeg).toMatchObject({ mean: 8, bags: 2 });
  });
});
