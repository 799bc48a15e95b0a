/** The likely lean at rates that were measured: heights of the grow book take the place of the plan's rate. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import type { SoundPlan } from '../../../../compiler/compiled.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { civilDay } from '../../../../shared/units.ts';
import { zoneRates } from '../../../../src/answers/crop/zone-rates.ts';
import { type KnownCourses, LikelyLeans } from '../../../../src/answers/light/lean-now.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { entry, season } from '../crop/book.ts';

/** Two bags of zone A, 4 and 6 mm a day; one of zone B with a single height, which tells no rate. */
const HEIGHTS = [
  entry('spring-1', 'note', '2026-05-01', { heightMm: 20 }),
  entry('spring-1', 'note', '2026-05-11', { heightMm: 60 }),
  entry('spring-2', 'note', '2026-05-01', { heightMm: 10 }),
  entry('spring-2', 'note', '2026-05-11', { heightMm: 70 }),
  entry('spring-5', 'note', '2026-05-11', { heightMm: 50 }),
];

describe('heights in the grow book', () => {
  it('give each zone the mean of its bags, with room round it', () => {
    const found = zoneRates(season, HEIGHTS);
    expect(found.map(({ zone }) => zone)).toEqual(['A']);
    const { low, mid, high } = sure(found[0]);
    expect(mid).toBeCloseTo(5, 6);
    expect(low).toBeGreaterThan(0);
    expect(low).toBeLessThan(4);
    expect(high).toBeGreaterThan(6);
  });

  it('carry the likely tip so much higher, in their zone alone', () => {
    const { plan, timeline, ...rest } = compilePlan(samplePlan('pantry'), { boards: BOARDS, advise: false });
    const sound = { ...rest, plan: sure(plan), timeline: sure(timeline) };
    const rate = sound.plan.growth.rate;
    const twice = { low: rate.low * 2, mid: rate.mid * 2, high: rate.high * 2 };
    const plain = new LikelyLeans(sound);
    const measured = new LikelyLeans(sound, (zone) => (zone === 0 ? twice : undefined));
    const first = sure(
      plain.on(itemAt(timeline?.demands ?? [], 60).day).find(({ zones }) => zones.includes('A')),
    );
    const on = civilDay(first.firstDay + 9);
    const heightIn = (leans: LikelyLeans, zone: string): number =>
      sure(leans.on(on).find(({ zones }) => zones.includes(zone))).shape.height.mid;
    // What leans is a little lower than long.
    const ratio = heightIn(measured, 'A') / heightIn(plain, 'A');
    expect(ratio).toBeGreaterThan(1.7);
    expect(ratio).toBeLessThan(2.02);
    expect(heightIn(measured, 'C')).toBe(heightIn(plain, 'C'));
    expect(measured.on(on).find(({ zones }) => zones.includes('A'))?.measured).toEqual(twice);
  });
});

describe('the same light three weeks later', () => {
  /** The pantry rack where no clock changes, with both batches sealed on other days. */
  const sealedOn = (early: string, late: string): SoundPlan => {
    const text = samplePlan('pantry')
      .replace('Europe/Lisbon', 'Etc/UTC')
      .replace(/(early: .*sealed: )\S+,/, `$1${early},`)
      .replace(/(late: .*sealed: )\S+,/, `$1${late},`);
    const { plan, timeline, ...rest } = compilePlan(text, { boards: BOARDS, advise: false });
    return { ...rest, plan: sure(plan), timeline: sure(timeline) };
  };
  const WEEKS = 3;

  it('is followed once, and told of its own days', () => {
    const sooner = sealedOn('2026-02-16', '2026-03-09');
    const later = sealedOn('2026-03-09', '2026-03-30');
    const known: KnownCourses = new Map();
    const on = civilDay(itemAt(sooner.timeline.demands, 60).day);
    const after = civilDay(on + 7 * WEEKS);
    new LikelyLeans(sooner, undefined, known).on(on);
    const followed = [...known.keys()];
    expect(followed.length).toBeGreaterThan(0);
    const shared = new LikelyLeans(later, undefined, known).on(after);
    expect([...known.keys()]).toEqual(followed);
    expect(shared).toEqual(new LikelyLeans(later).on(after));
    expect(shared.some(({ shape }) => shape.path.length > 2)).toBe(true);
  });

  it('is told of one shelf as among all', () => {
    const sound = sealedOn('2026-02-16', '2026-03-09');
    const leans = new LikelyLeans(sound);
    const on = civilDay(itemAt(sound.timeline.demands, 60).day);
    const byShelf = sound.plan.shelves.map((_, shelf) => leans.on(on, shelf));
    expect(byShelf.filter((all) => all.length > 0).length).toBeGreaterThan(1);
    expect(byShelf.flat()).toEqual(leans.on(on));
  });
});
