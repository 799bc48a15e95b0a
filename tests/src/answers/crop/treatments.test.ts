import { describe, expect, it } from 'vitest';
import type { Note } from '../../../../src/answers/book/note.ts';
import { allTraits, alsoDiffer, divisionsOf } from '../../../../src/answers/crop/treatments.ts';
import { divisionWords } from '../../../../src/answers/crop/words.ts';
import { entry, livesOf, season } from './book.ts';

const divisions = (notes: readonly Note[]) => divisionsOf(allTraits(season, livesOf(notes)));
const labels = (notes: readonly Note[], by: string) =>
  divisions(notes)
    .find((one) => divisionWords(one) === by)
    ?.rows.map(({ label, lives }) => `${label}: ${lives.length}`);

describe('the treatments of a season', () => {
  it('are lots first, then what differs; what splits the bags alike is one', () => {
    expect(divisions([]).map(divisionWords)).toEqual(['by lot', 'by lean and regime', 'by zone']);
    expect(labels([], 'by lot')).toEqual(['spring: 12', 'march: 12']);
    expect(labels([], 'by lean and regime')).toEqual([
      'sway left and right, 7 d each: 8',
      'hold left: 8',
      'upright: 8',
    ]);
  });

  it('are those that a moved bag really had: a row of its own, named by both', () => {
    // Light begins on 16 March; C is upright, A sways.
    const moved = (iso: string): Note[] => [
      entry('spring-1', 'cull', '2026-03-01'),
      entry('spring-9', 'move', iso, { to: { zone: 'A', position: 1 } }),
    ];
    const half = labels(moved('2026-04-27'), 'by lean and regime');
    expect(half).toContain('upright, then sway left and right, 7 d each: 1');
    expect(half).toContain('upright: 7');
    // In the dark, or for a few of its 84 days of light, the first place leaves no trace.
    for (const iso of ['2026-03-10', '2026-03-20'])
      expect(labels(moved(iso), 'by lean and regime')).toContain('sway left and right, 7 d each: 9');
  });

  it('do not tell apart what always goes together, and say what else two rows differ in', () => {
    const traits = allTraits(season, livesOf([]));
    const [lots, leans, zones] = divisionsOf(traits);
    const rows = (of: typeof lots) => of?.rows ?? [];
    const [sway, left] = rows(leans);
    expect(leans && sway && left && alsoDiffer(traits, leans, sway.lives, left.lives)).toEqual(['zone']);
    const [spring, march] = rows(lots);
    expect(lots && spring && march && alsoDiffer(traits, lots, spring.lives, march.lives)).toEqual(['zone']);
    const [a, b] = rows(zones);
    expect(zones && a && b && alsoDiffer(traits, zones, a.lives, b.lives)).toEqual([
      'lean',
      'side',
      'regime',
    ]);
  });
});
