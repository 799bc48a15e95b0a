/**
 * Random zones with dimmers only, and the choice of their levels by brute force.
 */

import fc from 'fast-check';
import { type Problem, scoreParts } from '../../../compiler/solve/problem.ts';
import { compareScores } from '../../../compiler/solve/score.ts';
import { bestPattern, settings } from '../../../compiler/solve/single.ts';
import { sure } from '../../../shared/assert.ts';
import { makeQuestion, type Seed } from './problems.ts';

/** One zone with so many dimmers, all of which may burn; upright is drawn too where `upright`. */
export function dimmed(least: number, most: number, upright = true): fc.Arbitrary<Problem> {
  const lamp = fc.record({
    side: fc.integer({ min: 0, max: 3 }),
    zone: fc.constant(0),
    shift: fc.integer({ min: -120, max: 120 }),
    flux: fc.integer({ min: 100, max: 900 }),
    dim: fc.constant(true),
  });
  return fc
    .record({
      zones: fc.constant(1),
      lamps: fc.array(lamp, { minLength: least, maxLength: most }),
      asks: fc.array(fc.integer({ min: 0, max: upright ? 4 : 3 }), { minLength: 3, maxLength: 3 }),
      low: fc.integer({ min: 50, max: 500 }),
      minutes: fc.constant(60),
    })
    .map((seed: Seed) => makeQuestion(seed).problem);
}

/** The score of a setting, by the minute. */
export const costOf = (problem: Problem, digits: readonly number[]): Float64Array =>
  scoreParts(problem, [{ minutes: 1, digits }]);

/** That of the setting the choice finds. */
export const found = (problem: Problem): Float64Array => costOf(problem, bestPattern(problem).digits);

/** The best score of all settings. */
export function brute(problem: Problem): Float64Array {
  let best: Float64Array | undefined;
  for (const digits of settings(problem.radix)) {
    const cost = costOf(problem, digits);
    if (best === undefined || compareScores(cost, 0, best, 0) < 0) best = cost;
  }
  return sure(best);
}
