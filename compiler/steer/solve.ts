/**
 * The answer to one cell: the best single pattern, found exactly by elimination.
 *
 * Always holds: the answer depends on nothing but the problem.
 */

import { eliminate, type Factor } from './factor.ts';
import { outputCost, type Part, type Problem, scoreParts, zoneCosts } from './problem.ts';
import { CHANGES, compareScores, ENERGY, LENGTH, NUMBERS } from './score.ts';

/** What to burn in a cell, and how far it is from what is asked. */
export interface Answer {
  readonly parts: readonly Part[];
  readonly score: Float64Array;
}

/** The best answer found. */
export function solveCell(problem: Problem): Answer {
  const costs = problem.zones.map(zoneCosts);
  const digits = eliminate(problem.radix, factorsOf(problem, costs))?.digits ?? descend(problem);
  const parts = [{ minutes: problem.minutes, digits }];
  return { parts, score: scoreParts(problem, parts) };
}

/** One factor a zone, one an output. */
export function factorsOf(problem: Problem, costs: readonly Float64Array[]): Factor[] {
  const zones = problem.zones.map((zone, n) => ({
    vars: zone.at,
    cost: costs[n]!.map((value) => value * problem.minutes),
  }));
  return [...zones, ...problem.outputs.map((_, index) => outputFactor(problem, index))];
}

function outputFactor(problem: Problem, index: number): Factor {
  const cost = new Float64Array(problem.radix[index]! * LENGTH);
  for (let digit = 0; digit < problem.radix[index]!; digit++) {
    const { energy, number } = outputCost(problem, index, digit);
    cost[digit * LENGTH + CHANGES] = digit === problem.before[index] ? 0 : 1;
    cost[digit * LENGTH + ENERGY] = energy * problem.minutes;
    cost[digit * LENGTH + NUMBERS] = number * problem.minutes;
  }
  return { vars: [index], cost };
}

/** Where elimination would be too wide: from all off, change one or two outputs at a time while that helps. */
function descend(problem: Problem): number[] {
  let digits = problem.radix.map(() => 0);
  let score = scoreOf(problem, digits);
  for (;;) {
    let best: { digits: number[]; score: Float64Array } | undefined;
    for (const trial of nearby(digits, problem.radix)) {
      const found = scoreOf(problem, trial);
      if (compareScores(found, 0, best?.score ?? score, 0) < 0) best = { digits: trial, score: found };
    }
    if (best === undefined) return digits;
    ({ digits, score } = best);
  }
}

const scoreOf = (problem: Problem, digits: readonly number[]): Float64Array =>
  scoreParts(problem, [{ minutes: problem.minutes, digits }]);

function* nearby(digits: readonly number[], radix: readonly number[]): Generator<number[]> {
  for (let a = 0; a < digits.length; a++) {
    for (let digit = 0; digit < radix[a]!; digit++) {
      if (digit !== digits[a]) yield digits.map((old, n) => (n === a ? digit : old));
    }
    for (let b = a + 1; b < digits.length; b++) {
      const swap = (old: number, n: number): number =>
        n === a || n === b ? (old > 0 ? 0 : radix[n]! - 1) : old;
      yield digits.map(swap);
    }
  }
}
