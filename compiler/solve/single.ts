/**
 * The best single pattern of a question.
 *
 * Always holds: up to 300 patterns (of a single zone: 5,000) every one is looked at, so the answer is the
 * best there is; beyond, each zone's own outputs answer in turn to what burns around
 * them, over every level where those are few, until no zone gains by changing. The
 * answer depends on nothing but the question.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { AskedZone } from './asked.ts';
import { lookCost } from './look.ts';
import { patternCount } from './patterns.ts';
import { outputCost, overload, type Problem, patternOf } from './problem.ts';
import { CHANGES, compareScores, ENERGY, LENGTH, NUMBERS, OVERLOAD } from './score.ts';

/** Most patterns that are all looked at: of the whole question, and of one zone's own outputs. */
const ALL_MOST = 300;
const OWN_MOST = 5000;
/** Most rounds of zones answering in turn; racks of shelves settle in two or three. */
const ROUNDS = 12;

/** The digits of the best pattern found. */
export function bestDigits(problem: Problem): readonly number[] {
  const most = problem.zones.length > 1 ? ALL_MOST : OWN_MOST;
  return patternCount(problem.radix) <= most ? bestOfAll(problem) : answerInTurn(problem);
}

/** Settings of some outputs, each in turn; the first counts fastest. The array is the same each time. */
export function* settings(radix: readonly number[]): Generator<readonly number[]> {
  const digits = radix.map(() => 0);
  for (;;) {
    yield digits;
    let at = 0;
    while (at < radix.length && itemAt(digits, at) + 1 === itemAt(radix, at)) digits[at++] = 0;
    if (at === radix.length) return;
    digits[at] = itemAt(digits, at) + 1;
  }
}

function bestOfAll(problem: Problem): readonly number[] {
  const all = problem.outputs.map((_, index) => index);
  let best: { readonly digits: readonly number[]; readonly cost: Float64Array } | undefined;
  for (const digits of settings(problem.radix)) {
    const cost = costBy(problem, problem.zones, all, digits);
    if (best === undefined || compareScores(cost, 0, best.cost, 0) < 0) best = { digits: [...digits], cost };
  }
  return sure(best).digits;
}

/** Cost by the minute of some zones and some outputs. */
function costBy(
  problem: Problem,
  zones: readonly AskedZone[],
  outputs: readonly number[],
  digits: readonly number[],
): Float64Array {
  const cost = new Float64Array(LENGTH);
  for (const zone of zones) {
    const more = lookCost(zone, patternOf(zone, digits));
    for (let i = 0; i < LENGTH; i++) cost[i] = itemAt(cost, i) + itemAt(more, i);
  }
  for (const index of outputs) {
    const digit = itemAt(digits, index);
    const { energy, number } = outputCost(problem, index, digit);
    cost[CHANGES] = itemAt(cost, CHANGES) + (digit === problem.before[index] ? 0 : 1);
    cost[ENERGY] = itemAt(cost, ENERGY) + energy;
    cost[NUMBERS] = itemAt(cost, NUMBERS) + number;
  }
  if (problem.limits.length > 0) cost[OVERLOAD] = overload(problem, digits);
  return cost;
}

/** A zone that is lit by outputs of its own, and every zone they touch. */
export interface Group {
  readonly zone: AskedZone;
  readonly own: readonly number[];
  readonly touched: readonly AskedZone[];
}

/** The groups of a question, in the order of its zones. */
export function groupsOf({ zones }: Problem): Group[] {
  return zones.flatMap((zone) => {
    if (zone.own.length === 0) return [];
    const touched = zones.filter(({ at }) => at.some((position) => zone.own.includes(position)));
    return [{ zone, own: zone.own, touched }];
  });
}

function answerInTurn(problem: Problem): readonly number[] {
  const digits = problem.radix.map(() => 0);
  const groups = groupsOf(problem);
  for (let round = 0; round < ROUNDS; round++) {
    let changed = false;
    for (const group of groups) {
      const found = respond(problem, group, digits);
      group.own.forEach((position, n) => {
        changed ||= digits[position] !== found[n];
        digits[position] = itemAt(found, n);
      });
    }
    if (!changed) break;
  }
  return digits;
}

/** All that the answer of a group depends on, but for the minutes. */
export function situation({ before }: Problem, { own, touched }: Group, digits: readonly number[]): string {
  const rest = [...digits];
  for (const position of own) rest[position] = 0;
  const around = touched.map((zone) => `${zone.memo.id}:${patternOf(zone, rest)}`).join();
  return `${own.map((position) => itemAt(before, position)).join()}|${around}`;
}

/** The best levels of a group's own outputs while everything else burns as it does. */
function respond(problem: Problem, group: Group, digits: readonly number[]): readonly number[] {
  // What a supply carries ties everything together: such answers are not kept.
  if (problem.limits.length > 0) return bestOwn(problem, group, digits);
  const key = situation(problem, group, digits);
  const { responses } = group.zone.memo;
  const known = responses.get(key) ?? bestOwn(problem, group, digits);
  responses.set(key, known);
  return known;
}

function bestOwn(problem: Problem, { own, touched }: Group, digits: readonly number[]): readonly number[] {
  const trial = [...digits];
  const radix = own.map((position) => itemAt(problem.radix, position));
  let best: { readonly found: readonly number[]; readonly cost: Float64Array } | undefined;
  const consider = (setting: readonly number[]): boolean => {
    own.forEach((position, n) => {
      trial[position] = itemAt(setting, n);
    });
    const cost = costBy(problem, touched, own, trial);
    if (best !== undefined && compareScores(cost, 0, best.cost, 0) >= 0) return false;
    best = { found: [...setting], cost };
    return true;
  };
  if (patternCount(radix) <= OWN_MOST) for (const setting of settings(radix)) consider(setting);
  else refine(radix, consider, () => sure(best).found);
  return sure(best).found;
}

/** Steps between the levels of a first, coarse look: as fine as leaves few enough patterns. */
const COARSE = [4, 8, 16] as const;
/** How far around the best so far two outputs are moved together. */
const NEAR = 3;

/** Looks over coarse levels, then moves two outputs at a time around the best as long as that helps. */
function refine(
  radix: readonly number[],
  consider: (setting: readonly number[]) => boolean,
  best: () => readonly number[],
): void {
  const step = COARSE.find((one) => patternCount(radix.map((r) => levelsApart(r, one))) <= OWN_MOST) ?? 16;
  const coarse = radix.map((r) => levelsApart(r, step));
  for (const setting of settings(coarse))
    consider(setting.map((digit, n) => (coarse[n] === 2 ? digit * (itemAt(radix, n) - 1) : digit * step)));
  let helped = true;
  while (helped) {
    helped = false;
    for (const setting of [...around(best(), radix)]) helped = consider(setting) || helped;
  }
}

const levelsApart = (radix: number, step: number): number => (radix === 2 ? 2 : (radix - 1) / step + 1);

/** Settings in which at most two outputs differ a little (a relay: altogether) from a setting. */
function* around(from: readonly number[], radix: readonly number[]): Generator<readonly number[]> {
  const near = (n: number): number[] =>
    Array.from({ length: itemAt(radix, n) }, (_, digit) => digit).filter(
      (digit) => Math.abs(digit - itemAt(from, n)) <= NEAR,
    );
  for (let a = 0; a < radix.length; a++) {
    for (let b = a + 1; b < Math.max(radix.length, a + 2); b++) {
      for (const first of near(a)) {
        if (b >= radix.length) yield from.map((digit, n) => (n === a ? first : digit));
        else
          for (const second of near(b))
            yield from.map((digit, n) => (n === a ? first : n === b ? second : digit));
      }
    }
  }
}
