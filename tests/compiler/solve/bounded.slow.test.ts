/**
 * The best pattern beside a plain look at all of them: settings that are given up early change nothing.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compareScores } from '../../../compiler/solve/score.ts';
import { bestPattern, settings } from '../../../compiler/solve/single.ts';
import { costOf } from './dimmed.ts';
import { makeQuestion, questions } from './problems.ts';

it('is the first of all settings that no other beats', () => {
  fc.assert(
    fc.property(questions(6), (seed) => {
      const { problem } = makeQuestion(seed);
      const all = Array.from(settings(problem.radix), (digits) => [...digits]);
      const costed = all.map((digits) => ({ digits, cost: costOf(problem, digits) }));
      const best = costed.reduce((top, one) => (compareScores(one.cost, 0, top.cost, 0) < 0 ? one : top));
      expect(bestPattern(problem).digits).toEqual(best.digits);
    }),
    { numRuns: 60 },
  );
});
