/**
 * The answer to one cell: one pattern where that meets everything, else the best found
 * of one pattern, two patterns in whole slots, and what a linear program suggests.
 *
 * Always holds: the answer depends on nothing but the problem (and on whether a solver
 * was handed in); up to 256 patterns the best single and the best pair are exact; where
 * there are more, the single is exact as long as the elimination stays narrow enough.
 */

import { itemAt } from '../../shared/assert.ts';
import { eliminate, type Factor, spread, WIDEST } from './eliminate.ts';
import { type Answer, bestPair, drawsBetter, leastUnlit, mayGain } from './pairs.ts';
import { patternCount } from './patterns.ts';
import { outputCost, overload, type Problem, scoreParts, zoneCosts } from './problem.ts';
import { type LinearSolver, suggestParts } from './program.ts';
import { CHANGES, compareScores, ENERGY, isMet, LENGTH, NUMBERS, OVERLOAD } from './score.ts';

/** Most patterns whose pairs are all tried. */
const PAIRS_MOST = 256;
/** Most patterns of a pool. */
const POOL_MOST = 24;

/** Whether a problem has more patterns than can all be tried in pairs. */
export const isLarge = ({ radix }: Problem): boolean => patternCount(radix) > PAIRS_MOST;

/** The best answer found; `solver` helps where there are more patterns than can all be tried in pairs. */
export function solveCell(problem: Problem, solver?: LinearSolver): Answer {
  const single = bestSingle(problem);
  if (isMet(single.score) || problem.minutes < 2 * problem.slot) return single;
  if (!mayGain(problem, single.score)) return single;
  if (!isLarge(problem)) return bestPair(problem, single.score) ?? single;
  const pool = poolOf(problem, itemAt(single.parts, 0).digits);
  const pair = bestPair(problem, single.score, pool) ?? single;
  return suggested(problem, leastUnlit(problem, pool), pair, solver) ?? pair;
}

/** Good patterns: the best one, and the best when one zone after the other is all that is looked at. */
function poolOf(problem: Problem, best: readonly number[]): number[][] {
  const pool = new Map([[best.join(), [...best]]]);
  for (const zone of problem.zones) {
    if (zone.ask.kind === 'dark' || pool.size >= POOL_MOST) continue;
    const others = problem.zones.map((other) =>
      other === zone ? other : { ...other, onlyLight: true, memo: {} },
    );
    const { digits } = itemAt(bestSingle({ ...problem, zones: others }).parts, 0);
    pool.set(digits.join(), [...digits]);
  }
  return [...pool.values()];
}

function suggested(
  problem: Problem,
  pool: readonly (readonly number[])[],
  best: Answer,
  solver: LinearSolver | undefined,
): Answer | undefined {
  const parts = solver && pool.length > 1 ? suggestParts(problem, pool, solver) : undefined;
  if (parts === undefined) return undefined;
  const score = scoreParts(problem, parts);
  return drawsBetter(score, best.score) ? { parts, score } : undefined;
}

/** The best single pattern: by elimination, or by descent where that would be too wide. */
export function bestSingle(problem: Problem): Answer {
  const costs = problem.zones.map(zoneCosts);
  const digits = eliminate(problem.radix, factorsOf(problem, costs))?.digits ?? descend(problem);
  return answerOf(problem, digits);
}

/** One pattern as an answer. */
export function answerOf(problem: Problem, digits: readonly number[]): Answer {
  const parts = [{ minutes: problem.minutes, digits }];
  return { parts, score: scoreParts(problem, parts) };
}

/** One factor a zone, one an output, one a load limit. */
export function factorsOf(problem: Problem, costs: readonly Float64Array[]): Factor[] {
  const zones = problem.zones.map((zone, n) => ({
    vars: zone.at,
    cost: itemAt(costs, n).map((value) => value * problem.minutes),
  }));
  const outputs = problem.outputs.map((_, index) => outputFactor(problem, index));
  return [...zones, ...outputs, ...problem.limits.map((limit) => limitFactor(problem, limit))];
}

function outputFactor(problem: Problem, index: number): Factor {
  const cost = new Float64Array(itemAt(problem.radix, index) * LENGTH);
  for (let digit = 0; digit < itemAt(problem.radix, index); digit++) {
    const { energy, number } = outputCost(problem, index, digit);
    cost[digit * LENGTH + CHANGES] = digit === problem.before[index] ? 0 : 1;
    cost[digit * LENGTH + ENERGY] = energy * problem.minutes;
    cost[digit * LENGTH + NUMBERS] = number * problem.minutes;
  }
  return { vars: [index], cost };
}

/** A limit over too many outputs is left without costs; its width alone turns the elimination away. */
function limitFactor(problem: Problem, limit: Problem['limits'][number]): Factor {
  const vars = limit.outputs;
  const size = vars.reduce((product, index) => product * itemAt(problem.radix, index), 1);
  const digits = problem.radix.map(() => 0);
  const cost = new Float64Array(size > WIDEST ? 0 : size * LENGTH);
  for (let setting = 0; setting * LENGTH < cost.length; setting++) {
    spread(setting, vars, problem.radix, digits);
    cost[setting * LENGTH + OVERLOAD] = overload({ ...problem, limits: [limit] }, digits) * problem.minutes;
  }
  return { vars, cost };
}

/** From all off, change one or two outputs at a time as long as that helps. */
export function descend(problem: Problem, start: readonly number[] = problem.radix.map(() => 0)): number[] {
  let digits = [...start];
  let { score } = answerOf(problem, digits);
  for (;;) {
    let best: { digits: number[]; score: Float64Array } | undefined;
    for (const trial of nearby(digits, problem.radix)) {
      const found = answerOf(problem, trial).score;
      if (compareScores(found, 0, best?.score ?? score, 0) < 0) best = { digits: trial, score: found };
    }
    if (best === undefined) return digits;
    ({ digits, score } = best);
  }
}

function* nearby(digits: readonly number[], radix: readonly number[]): Generator<number[]> {
  for (let a = 0; a < digits.length; a++) {
    for (let digit = 0; digit < itemAt(radix, a); digit++) {
      if (digit !== digits[a]) yield digits.map((old, n) => (n === a ? digit : old));
    }
    for (let b = a + 1; b < digits.length; b++) {
      const swap = (old: number, n: number): number =>
        n === a || n === b ? (old > 0 ? 0 : itemAt(radix, n) - 1) : old;
      yield digits.map(swap);
    }
  }
}
