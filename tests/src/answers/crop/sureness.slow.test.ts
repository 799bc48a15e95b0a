/** How often bags that do not differ are called different: not more often than the sentences say. */

import { expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { reviewCrop } from '../../../../src/answers/crop/crop.ts';
import { day, planOf } from '../visits/plan.ts';
import { entry, SEASON_TEXT, season } from './book.ts';

/** A repeatable source of 0 to 1 (mulberry32). */
function draws(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state + 0x6d2b79f5) | 0;
    let t = Math.imul(state ^ (state >>> 15), 1 | state);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4_294_967_296;
  };
}

/** All bags stand alike: then the six zones are compared, four bags against twenty. */
const alike = planOf(SEASON_TEXT.replaceAll(/regime: \{ [A-F]: sway.*?\}/g, 'regime: upright'));
const SEASONS = 100;

it.each([
  ['of three treatments', season],
  ['of one treatment in six zones', alike],
])('in 5 of 100 seasons of 24 like bags at the most, %s', (_, plan) => {
  const next = draws(14);
  const normal = (): number => Math.sqrt(-2 * Math.log(next() + 1e-12)) * Math.cos(2 * Math.PI * next());
  let wrong = 0;
  for (let i = 0; i < SEASONS; i++) {
    const notes = ['spring', 'march'].flatMap((batch) =>
      Array.from({ length: 12 }, (_, n): Note[] => {
        const bag = `${batch}-${n + 1}`;
        if (next() < 0.1) return [entry(bag, 'cull', '2026-04-20')];
        const rate = 3 + 0.5 * normal();
        return [
          entry(bag, 'note', '2026-04-10', { heightMm: 20 }),
          entry(bag, 'note', '2026-05-10', { heightMm: 20 + 30 * rate }),
          entry(bag, 'harvest', '2026-06-01', { massG: Math.max(10, 90 + 20 * normal()) }),
        ];
      }).flat(),
    );
    const { comparisons } = sure(reviewCrop({ plan, notes, rooms: new Map(), today: day('2026-06-20') }));
    expect(comparisons.length).toBeGreaterThan(8);
    if (comparisons.some(({ isClear }) => isClear)) wrong += 1;
  }
  // Binomial, 100 at 5 %: more than 11 would come by luck in four of a thousand tries.
  expect(wrong).toBeLessThanOrEqual(11);
});
