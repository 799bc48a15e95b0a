/** How often bags that do not differ are called different: not more often than the sentences say. */

import { expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { reviewCrop } from '../../../../src/answers/crop/crop.ts';
import { day } from '../visits/plan.ts';
import { entry, season } from './book.ts';

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

it('in 5 of 100 seasons of 24 like bags at the most', () => {
  const next = draws(14);
  const normal = (): number => Math.sqrt(-2 * Math.log(next() + 1e-12)) * Math.cos(2 * Math.PI * next());
  const seasons = 200;
  let wrong = 0;
  for (let i = 0; i < seasons; i++) {
    const notes = ['spring', 'may'].flatMap((batch) =>
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
    const review = sure(reviewCrop({ plan: season, notes, rooms: new Map(), today: day('2026-06-20') }));
    if (review.comparisons.some(({ isClear }) => isClear)) wrong += 1;
  }
  // Binomial, 200 at 5 %: more than 19 would come by luck in one of a hundred tries.
  expect(wrong).toBeLessThanOrEqual(19);
});
