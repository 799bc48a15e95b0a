/**
 * Two patterns one after the other in whole slots, where one pattern leaves something unmet.
 *
 * Always holds: a pair is taken only when it is better in the order of wants and halves
 * something that is unmet. Among those that do, the answer has the best score of all
 * pairs of whole hours; what is passed over is passed over because a bound shows that
 * it cannot win. Shorter parts are taken only where they meet everything and no hours do.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Part } from './asked.ts';
import { boundOf, type Look, leastOf, lookAtMixture, lookAtPattern } from './mixture.ts';
import { answerOf, type CellAnswer, overload, type Problem, patternOf } from './problem.ts';
import { compareScores, isMet, UNMET } from './score.ts';
import { settings } from './single.ts';

/** Shortest stretch of a pattern where a longer one does as well, minutes. */
export const HOUR = 60;

/** The splits of a cell: minutes of the first part in whole slots; the second takes what is left over. */
export function splitsOf(minutes: number, slot: number): number[] {
  const slots = Math.floor(minutes / slot);
  return Array.from({ length: Math.max(0, slots - 1) }, (_, n) => (n + 1) * slot);
}

/**
 * Whether a score is worth a second pattern: better in the order of wants, and at least
 * one part of what is unmet is halved. (Without that, zones would be switched about for
 * a tenth of a ratio next door.)
 */
export function halves(score: ArrayLike<number>, than: ArrayLike<number>): boolean {
  let first = 0;
  let halved = false;
  for (let part = 0; part < UNMET; part++) {
    const [now, before] = [itemAt(score, part), itemAt(than, part)];
    if (first === 0) first = now - before;
    halved ||= now < before && now * 2 <= before;
  }
  return first < 0 && halved;
}

/** The best pair of all patterns that halves something the single pattern leaves unmet; undefined when there is none. */
export function bestPair(problem: Problem, single: Float64Array): CellAnswer | undefined {
  if (splitsOf(problem.minutes, problem.slot).length === 0) return undefined;
  const candidates = candidatesOf(problem);
  const looks = candidates.map((one) => one.looks);
  if (!halves(leastOf(problem, looks), single)) return undefined;
  const hours = splitsOf(problem.minutes, Math.max(HOUR, problem.slot));
  const long = pairWith({ problem, splits: hours, worth: (score) => halves(score, single) }, candidates);
  if (long !== undefined && isMet(long.score)) return long;
  const slots = splitsOf(problem.minutes, problem.slot);
  return pairWith({ problem, splits: slots, worth: isMet }, candidates) ?? long;
}

function pairWith(how: Omit<Search, 'found'>, candidates: readonly Candidate[]): CellAnswer | undefined {
  const search: Search = { ...how, found: undefined };
  for (let a = 0; a < candidates.length; a++) {
    for (let b = a + 1; b < candidates.length; b++) {
      tryPair(search, itemAt(candidates, a), itemAt(candidates, b));
    }
  }
  return search.found;
}

/** A pattern, and what each zone looks like under it. */
interface Candidate {
  readonly digits: readonly number[];
  readonly patterns: readonly number[];
  readonly looks: readonly Look[];
}

interface Search {
  readonly problem: Problem;
  readonly splits: readonly number[];
  /** Whether a score is one to take at all; never true of a score when false of a bound on it. */
  readonly worth: (score: Float64Array) => boolean;
  found: CellAnswer | undefined;
}

/** The patterns that may take part in a mixture: those with the least overload and, of those, the least missing light. */
function candidatesOf(problem: Problem): Candidate[] {
  const known = problem.zones.map(() => new Map<number, Look>());
  const all = Array.from(settings(problem.radix), (setting) => {
    const digits = [...setting];
    const patterns = problem.zones.map((zone) => patternOf(zone, digits));
    const looks = problem.zones.map((zone, n) => {
      const pattern = itemAt(patterns, n);
      const look = itemAt(known, n).get(pattern) ?? lookAtPattern(zone, pattern);
      itemAt(known, n).set(pattern, look);
      return look;
    });
    const lack = looks.reduce((sum, { lacks }) => sum + lacks.reduce((a, b) => a + b, 0), 0);
    return { digits, patterns, looks, over: overload(problem, digits), lack };
  });
  const over = Math.min(...all.map((one) => one.over));
  const light = all.filter((one) => one.over === over);
  const lack = Math.min(...light.map((one) => one.lack));
  return light.filter((one) => one.lack === lack);
}

/** Looks for the best split of a pair by halving, leaving out halves whose bound shows nothing better. */
function tryPair(search: Search, first: Candidate, second: Candidate): void {
  const { problem, splits } = search;
  const between = (from: number, to: number, low: readonly Look[], high: readonly Look[]): void => {
    if (from > to || !promises(search, boundOf(problem, low, high))) return;
    const middle = (from + to) >> 1;
    const minutes = itemAt(splits, middle);
    consider(search, [
      { minutes, digits: first.digits },
      { minutes: problem.minutes - minutes, digits: second.digits },
    ]);
    const looks = mix(problem, first, second, minutes);
    between(from, middle - 1, low, looks);
    between(middle + 1, to, looks, high);
  };
  // Few minutes of the first part look like the second pattern, many like the first.
  between(0, splits.length - 1, second.looks, first.looks);
}

function mix(problem: Problem, first: Candidate, second: Candidate, minutes: number): Look[] {
  return problem.zones.map((zone, n) =>
    lookAtMixture(
      zone,
      { pattern: itemAt(first.patterns, n), minutes, look: itemAt(first.looks, n) },
      {
        pattern: itemAt(second.patterns, n),
        minutes: problem.minutes - minutes,
        look: itemAt(second.looks, n),
      },
    ),
  );
}

function promises({ worth, found }: Search, bound: Float64Array): boolean {
  return worth(bound) && (found === undefined || compareScores(bound, 0, found.score, 0) < 0);
}

function consider(search: Search, parts: readonly Part[]): void {
  const answer = answerOf(search.problem, parts);
  if (promises(search, answer.score)) search.found = answer;
}
