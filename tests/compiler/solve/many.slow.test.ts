/**
 * One zone with many lamps: too many for every setting to be looked at.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compareScores } from '../../../compiler/solve/score.ts';
import { bestPattern } from '../../../compiler/solve/single.ts';
import { itemAt } from '../../../shared/assert.ts';
import { costOf } from './dimmed.ts';
import { makeQuestion } from './problems.ts';

it('no change of one lamp out of twenty-six, nor of two, makes the answer better', () => {
  const lamp = fc.record({
    side: fc.integer({ min: 0, max: 3 }),
    zone: fc.constant(0),
    shift: fc.integer({ min: -120, max: 120 }),
    flux: fc.integer({ min: 40, max: 300 }),
    dim: fc.constant(false),
  });
  const seed = fc.record({
    zones: fc.constant(1),
    lamps: fc.array(lamp, { minLength: 26, maxLength: 26 }),
    asks: fc.array(fc.integer({ min: 0, max: 4 }), { minLength: 3, maxLength: 3 }),
    low: fc.integer({ min: 50, max: 500 }),
    minutes: fc.constant(60),
  });
  fc.assert(
    fc.property(seed, (drawn) => {
      const { problem } = makeQuestion(drawn);
      const { digits } = bestPattern(problem);
      const cost = costOf(problem, digits);
      for (let a = 0; a < digits.length; a++) {
        for (let b = a; b < digits.length; b++) {
          const other = [...digits];
          other[a] = 1 - itemAt(digits, a);
          if (b !== a) other[b] = 1 - itemAt(digits, b);
          expect(compareScores(costOf(problem, other), 0, cost, 0)).toBeGreaterThanOrEqual(0);
        }
      }
    }),
    { numRuns: 3 },
  );
});
