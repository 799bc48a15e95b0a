/**
 * A sequence of day patterns → the shortest list of runs that says the same, where each
 * run goes on as far as it can, and a cycle changes sides whenever the stretch that it
 * begins with would end. (Sides of unlike lengths, as five days and two, stay plain runs.)
 *
 * Always holds: the runs, played from day 0, give the sequence back exactly;
 * the choice is the same on every machine: smallest size, then a plain run, then
 * the cycle of fewest sides.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { Run } from '../../shared/table.ts';

const MAX_DAYS = 255;
/** Longest cycle looked for (the format allows 62). */
const MAX_SIDES = 16;

/** Bytes a run takes in a table. */
export function runSize(run: Run): number {
  return run.kind === 'plain' ? 2 : 3 + run.patterns.length;
}

/** The runs of `patterns` (one number a day): the cheapest way on from each day that some run can end on. */
export function shortestRuns(patterns: readonly number[]): Run[] {
  if (patterns.length === 0) return [];
  const stretch = stretches(patterns);
  const reached = reachableDays(patterns, stretch);
  const best = new Map<number, { size: number; run: Run }>();
  for (const at of reached) {
    let chosen: { size: number; run: Run } | undefined;
    for (const run of candidates(patterns, stretch, at)) {
      const size = runSize(run) + (best.get(at + run.days)?.size ?? 0);
      if (!chosen || size < chosen.size) chosen = { size, run };
    }
    if (chosen) best.set(at, chosen);
  }
  const runs: Run[] = [];
  for (let at = 0; at < patterns.length; at += itemAt(runs, runs.length - 1).days)
    runs.push(sure(best.get(at)).run);
  return runs;
}

/** The days on which a run can begin, latest first. */
function reachableDays(patterns: readonly number[], stretch: readonly number[]): number[] {
  const seen = new Set<number>([0]);
  const open = [0];
  for (let at = open.pop(); at !== undefined; at = open.pop()) {
    for (const run of candidates(patterns, stretch, at)) {
      const next = at + run.days;
      if (next >= patterns.length || seen.has(next)) continue;
      seen.add(next);
      open.push(next);
    }
  }
  return [...seen].filter((day) => day < patterns.length).sort((a, b) => b - a);
}

/** For each day, how many days from it on have the same pattern. */
function stretches(patterns: readonly number[]): number[] {
  const lengths: number[] = new Array(patterns.length).fill(1);
  for (let at = patterns.length - 2; at >= 0; at--) {
    if (patterns[at] === patterns[at + 1]) lengths[at] = itemAt(lengths, at + 1) + 1;
  }
  return lengths;
}

function* candidates(patterns: readonly number[], stretch: readonly number[], at: number): Iterable<Run> {
  const days = Math.min(itemAt(stretch, at), MAX_DAYS);
  yield { kind: 'plain', days, pattern: itemAt(patterns, at) };
  const period = itemAt(stretch, at);
  if (period > MAX_DAYS) return;
  const sides: number[] = [];
  let next = at;
  while (next < patterns.length && sides.length < MAX_SIDES) {
    if (itemAt(stretch, next) < period && next + itemAt(stretch, next) < patterns.length) break;
    sides.push(itemAt(patterns, next));
    if (itemAt(stretch, next) > period) {
      next += period;
    } else next += itemAt(stretch, next);
    if (sides.length >= 2)
      yield { kind: 'cycle', days: cover(patterns, at, period, sides), period, patterns: [...sides] };
  }
}

/** How many days from `at` on follow the cycle. */
function cover(patterns: readonly number[], at: number, period: number, sides: readonly number[]): number {
  let days = 0;
  while (
    days < MAX_DAYS &&
    at + days < patterns.length &&
    patterns[at + days] === sides[Math.floor(days / period) % sides.length]
  )
    days++;
  return days;
}
