/**
 * Two patterns one after the other in whole slots, where one pattern leaves something unmet.
 *
 * Always holds: a pair is taken only when it draws lit zones much better (overload, unlit,
 * direction, contrast): a neighbour's dark or a level is no reason to light a zone from
 * the wrong side for a while. Among those that do, the answer has the best score of all
 * pairs and splits; what is passed over is passed over because a bound shows it cannot win.
 */

import { itemAt } from '../../shared/assert.ts';
import { boundOf, type Look, leastOf, lookAtMixture, lookAtPattern } from './bounds.ts';
import { spread } from './eliminate.ts';
import { patternCount } from './patterns.ts';
import { overload, type Part, type Problem, patternOf, scoreParts, steadyCosts } from './problem.ts';
import { CONTRAST, compareScores, UNLIT } from './score.ts';

/** Parts and their score. */
export interface Answer {
  readonly parts: readonly Part[];
  readonly score: Float64Array;
}

/** The splits of a cell: minutes of the first part; whole slots, the last taking what is left over. */
export function splitsOf(minutes: number, slot: number): number[] {
  const slots = Math.floor(minutes / slot);
  return Array.from({ length: Math.max(0, slots - 1) }, (_, n) => (n + 1) * slot);
}

/**
 * Whether a score is worth a second pattern: better in what draws the lit zones, and at
 * least one part of what the single pattern leaves unmet there is halved. (Without that,
 * zones that are met would be switched about for a tenth of a ratio next door.)
 */
export function drawsBetter(score: ArrayLike<number>, than: ArrayLike<number>): boolean {
  let first = 0;
  let halved = false;
  for (let part = 0; part <= CONTRAST; part++) {
    const [now, before] = [itemAt(score, part), itemAt(than, part)];
    if (first === 0) first = now - before;
    halved ||= now < before && now * 2 <= before;
  }
  return first < 0 && halved;
}

/** Whether any mixture of two patterns might be worth it, told zone by zone. */
export function mayGain(problem: Problem, single: Float64Array): boolean {
  // Where unlit is unavoidable the lit patterns of a zone are no guide; then everything is tried.
  return itemAt(single, UNLIT) > 0 || drawsBetter(leastOf(problem), single);
}

/**
 * The best pair of the pool (every pattern, when left out) that draws better than the
 * single pattern scored `single`; undefined when there is none.
 */
export function bestPair(
  problem: Problem,
  single: Float64Array,
  pool: readonly (readonly number[])[] = allPatterns(problem),
): Answer | undefined {
  const splits = splitsOf(problem.minutes, problem.slot);
  if (splits.length === 0) return undefined;
  const looks = problem.zones.map(() => new Map<number, Look>());
  const candidates = leastUnlit(problem, pool).map((digits) => candidateOf(problem, digits, looks));
  const search: Search = { problem, single, splits, found: undefined };
  for (let a = 0; a < candidates.length; a++) {
    for (let b = a + 1; b < candidates.length; b++)
      tryPair(search, itemAt(candidates, a), itemAt(candidates, b));
  }
  return search.found;
}

/** A pattern of the cluster, and what each zone looks like under it. */
interface Candidate {
  readonly digits: readonly number[];
  readonly patterns: readonly number[];
  readonly looks: readonly Look[];
}

interface Search {
  readonly problem: Problem;
  readonly single: Float64Array;
  readonly splits: readonly number[];
  found: Answer | undefined;
}

/** Every pattern of the cluster. */
function allPatterns(problem: Problem): number[][] {
  const vars = problem.radix.map((_, index) => index);
  return Array.from({ length: patternCount(problem.radix) }, (_, pattern) => {
    const digits = problem.radix.map(() => 0);
    spread(pattern, vars, problem.radix, digits);
    return digits;
  });
}

/** The patterns that may take part in a mixture: those with the least overload and, of those, the least unlit. */
export function leastUnlit(problem: Problem, pool: readonly (readonly number[])[]): (readonly number[])[] {
  const all = pool.map((digits) => ({
    digits,
    over: overload(problem, digits),
    unlit: unlitZones(problem, digits),
  }));
  const over = Math.min(...all.map((one) => one.over));
  const light = all.filter((one) => one.over === over);
  const unlit = Math.min(...light.map((one) => one.unlit));
  return light.filter((one) => one.unlit === unlit).map(({ digits }) => digits);
}

function unlitZones(problem: Problem, digits: readonly number[]): number {
  let count = 0;
  for (const zone of problem.zones)
    count += itemAt(steadyCosts(zone.table, zone.ask, patternOf(zone, digits)), UNLIT);
  return count;
}

function candidateOf(
  problem: Problem,
  digits: readonly number[],
  known: readonly Map<number, Look>[],
): Candidate {
  const patterns = problem.zones.map((zone) => patternOf(zone, digits));
  const looks = problem.zones.map((zone, n) => {
    const pattern = itemAt(patterns, n);
    const look = itemAt(known, n).get(pattern) ?? lookAtPattern(zone, pattern);
    itemAt(known, n).set(pattern, look);
    return look;
  });
  return { digits, patterns, looks };
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
    first.patterns[n] === second.patterns[n]
      ? itemAt(first.looks, n)
      : lookAtMixture(
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

function promises({ single, found }: Search, bound: Float64Array): boolean {
  return drawsBetter(bound, single) && (found === undefined || compareScores(bound, 0, found.score, 0) < 0);
}

function consider(search: Search, parts: readonly Part[]): void {
  const score = scoreParts(search.problem, parts);
  if (promises(search, score)) search.found = { parts, score };
}
