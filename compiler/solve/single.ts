/**
 * The best single pattern of a question.
 *
 * Always holds: up to 300 patterns every one is looked at, so the answer is the best there
 * is. With more, branch and bound finds the best or tells a gap, for one zone and for up to
 * six outputs; beyond, each zone's own outputs answer so in turn to what burns around them
 * until no zone gains by changing. The answer depends on nothing but the question.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { AskedZone, Best, Group, Unsettled } from './asked.ts';
import { branchAndBound } from './branch.ts';
import { lookCost } from './look.ts';
import { patternCount } from './patterns.ts';
import { outputCost, overload, type Problem, patternOf } from './problem.ts';
import { CHANGES, compareScores, ENERGY, LENGTH, NUMBERS, OVERLOAD } from './score.ts';

/** Most patterns that are all looked at. */
const ALL_MOST = 300;
/** Most outputs of several zones that are settled together where there are more patterns. */
const JOINT_MOST = 6;
/** Most rounds of zones answering in turn; racks of shelves settle in two or three. */
const ROUNDS = 12;

/** The best pattern found. */
export function bestPattern(problem: Problem): Best {
  if (patternCount(problem.radix) <= ALL_MOST) return { digits: bestOfAll(problem), gap: undefined };
  const inTurn = answerInTurn(problem);
  if (problem.zones.length === 1 || problem.outputs.length > JOINT_MOST) return inTurn;
  const own = problem.outputs.map((_, position) => position);
  const together = { zone: itemAt(problem.zones, 0), own, touched: problem.zones };
  return bestOwn(problem, together, inTurn.digits, inTurn.digits);
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
  return bestOf(problem.radix, (digits, bound) => costBy(problem, problem.zones, all, digits, bound));
}

/** What a setting costs; a setting that costs more than `bound` may be given up. */
type BoundedCost = (setting: readonly number[], bound?: Float64Array) => Float64Array | undefined;

/** The first of all settings whose cost no other's beats. Everything at full is a bound from the first on. */
function bestOf(radix: readonly number[], costOf: BoundedCost): readonly number[] {
  let bound = sure(costOf(radix.map((count) => count - 1)));
  let best: { readonly setting: readonly number[]; readonly cost: Float64Array } | undefined;
  for (const setting of settings(radix)) {
    const cost = costOf(setting, bound);
    if (cost === undefined || (best !== undefined && compareScores(cost, 0, best.cost, 0) >= 0)) continue;
    best = { setting: [...setting], cost };
    if (compareScores(cost, 0, bound, 0) < 0) bound = cost;
  }
  return sure(best).setting;
}

/**
 * Cost by the minute of some zones and some outputs; undefined where it is more than `bound`, which
 * is mostly clear from a few zones: no part of a cost is negative.
 */
function costBy(
  problem: Problem,
  zones: readonly AskedZone[],
  outputs: readonly number[],
  digits: readonly number[],
  bound?: Float64Array,
): Float64Array | undefined {
  const cost = new Float64Array(LENGTH);
  const isOff = ({ own }: AskedZone): boolean =>
    own.length > 0 && own.every((position) => digits[position] === 0);
  // A zone whose own outputs are off tells soonest that a setting is no good.
  for (const off of bound === undefined ? [undefined] : [true, false]) {
    for (const zone of zones) {
      if (off !== undefined && isOff(zone) !== off) continue;
      const more = lookCost(zone, patternOf(zone, digits));
      for (let i = 0; i < LENGTH; i++) cost[i] = itemAt(cost, i) + itemAt(more, i);
      if (bound !== undefined && compareScores(cost, 0, bound, 0) > 0) return undefined;
    }
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

/** The groups of a question, in the order of its zones. */
export function groupsOf({ zones }: Problem): Group[] {
  return zones.flatMap((zone) => {
    if (zone.own.length === 0) return [];
    const touched = zones.filter(({ at }) => at.some((position) => zone.own.includes(position)));
    return [{ zone, own: zone.own, touched }];
  });
}

function answerInTurn(problem: Problem): Best {
  const digits = problem.radix.map(() => 0);
  const groups = groupsOf(problem);
  let gap: Unsettled | undefined;
  for (let round = 0; round < ROUNDS; round++) {
    let changed = false;
    gap = undefined;
    for (const group of groups) {
      const found = respond(problem, group, digits);
      gap = wider(gap, found.gap);
      group.own.forEach((position, n) => {
        changed ||= digits[position] !== found.digits[n];
        digits[position] = itemAt(found.digits, n);
      });
    }
    if (!changed) break;
  }
  return { digits, gap };
}

/** The gap in the more important part of the score, there the wider. */
function wider(a: Unsettled | undefined, b: Unsettled | undefined): Unsettled | undefined {
  if (a === undefined || b === undefined) return a ?? b;
  return (a.part - b.part || b.by - a.by) <= 0 ? a : b;
}

/** All that the answer of a group depends on, but for the minutes. */
export function situation({ before }: Problem, { own, touched }: Group, digits: readonly number[]): string {
  const rest = [...digits];
  for (const position of own) rest[position] = 0;
  const around = touched.map((zone) => `${zone.memo.id}:${patternOf(zone, rest)}`).join();
  return `${own.map((position) => itemAt(before, position)).join()}|${around}`;
}

/** The best levels of a group's own outputs while everything else burns as it does. */
function respond(problem: Problem, group: Group, digits: readonly number[]): Best {
  // What a supply carries ties everything together: such answers are not kept.
  if (problem.limits.length > 0) return bestOwn(problem, group, digits);
  const key = situation(problem, group, digits);
  const { responses } = group.zone.memo;
  const known = responses.get(key) ?? bestOwn(problem, group, digits);
  responses.set(key, known);
  return known;
}

/** The best digits of a group's own outputs; where they are searched for, from `start`, else from all off. */
function bestOwn(
  problem: Problem,
  group: Group,
  digits: readonly number[],
  start: readonly number[] = group.own.map(() => 0),
): Best {
  const { own, touched } = group;
  const trial = [...digits];
  const radix = own.map((position) => itemAt(problem.radix, position));
  const boundedCost: BoundedCost = (setting, bound) => {
    own.forEach((position, n) => {
      trial[position] = itemAt(setting, n);
    });
    return costBy(problem, touched, own, trial, bound);
  };
  if (patternCount(radix) <= ALL_MOST) return { digits: bestOf(radix, boundedCost), gap: undefined };
  const costOf = (setting: readonly number[]): Float64Array => sure(boundedCost(setting));
  const first =
    own.length > JOINT_MOST ? climb(start, radix, costOf) : { setting: start, cost: costOf(start) };
  const { setting, gap } = branchAndBound(problem, group, digits, first, costOf);
  return { digits: setting, gap };
}

/**
 * A setting that no change of one output, nor of two, makes better: where outputs are so many
 * that the search ends before all is settled, it has a good one to beat.
 */
function climb(
  start: readonly number[],
  radix: readonly number[],
  costOf: (setting: readonly number[]) => Float64Array,
): { readonly setting: readonly number[]; readonly cost: Float64Array } {
  let best = { setting: start, cost: costOf(start) };
  const improves = (changes: readonly (readonly [output: number, digit: number])[]): boolean => {
    const setting = [...best.setting];
    for (const [output, digit] of changes) setting[output] = digit;
    const cost = costOf(setting);
    if (compareScores(cost, 0, best.cost, 0) >= 0) return false;
    best = { setting, cost };
    return true;
  };
  // Of a dimmer the next levels and both ends, of a relay the other state.
  const others = (output: number): readonly (readonly [number, number])[] => {
    const [now, full] = [itemAt(best.setting, output), itemAt(radix, output) - 1];
    const near = [now - 1, now + 1, 0, full].filter((digit) => digit >= 0 && digit <= full && digit !== now);
    return [...new Set(near)].map((digit) => [output, digit] as const);
  };
  const all = [...radix.keys()];
  const one = (): boolean => all.some((a) => others(a).some((change) => improves([change])));
  const two = (): boolean =>
    all.some((a) =>
      all.slice(a + 1).some((b) => others(a).some((x) => others(b).some((y) => improves([x, y])))),
    );
  while (one() || two());
  return best;
}
