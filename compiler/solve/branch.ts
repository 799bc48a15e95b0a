/**
 * The best setting of some outputs by branch and bound: boxes of levels are halved, and
 * left out where nothing in them can beat the best found so far.
 *
 * Always holds: the setting is the best there is, or, where the search ends before all
 * boxes are settled, a gap tells by how much a better one could beat it. The answer
 * depends on nothing but the question.
 */

import { itemAt } from '../../shared/assert.ts';
import type { AskedZone, Group, Unsettled } from './asked.ts';
import { ZoneBox } from './box.ts';
import { outputCost, overload, type Problem } from './problem.ts';
import { CHANGES, compareScores, ENERGY, LENGTH, NUMBERS, OVERLOAD } from './score.ts';

/** Most boxes looked at; a zone with four dimmers takes a few hundred to a few thousand. */
const BOXES_MOST = 20_000;
/** A box costs as much as bags times outputs: with many of both fewer boxes are looked at. */
const WORK_MOST = 500_000;
/** Boxes of so few settings are looked at setting by setting. */
const FEW = 4;

interface Box {
  readonly lo: readonly number[];
  readonly hi: readonly number[];
  readonly least: Float64Array;
}

interface Found {
  readonly setting: readonly number[];
  readonly cost: Float64Array;
}

/** The best setting of a group's own outputs, `digits` burning elsewhere; `start` is one to beat, `costOf` tells the cost of any. */
export function branchAndBound(
  problem: Problem,
  { own, touched }: Group,
  digits: readonly number[],
  start: Found,
  costOf: (setting: readonly number[]) => Float64Array,
  most: number = boxesFor(own, touched),
): { readonly setting: readonly number[]; readonly gap: Unsettled | undefined } {
  const radix = own.map((position) => itemAt(problem.radix, position));
  const zones = touched.map((zone) => new ZoneBox(zone, problem.radix, own, digits));
  const boundOf = (lo: readonly number[], hi: readonly number[]): Float64Array => {
    const least = new Float64Array(LENGTH);
    for (const zone of zones) zone.addBound(least, lo, hi);
    addOutputs(least, problem, own, digits, lo, hi);
    return least;
  };
  const weights = own.map((position) => weightOf(touched, position) / (itemAt(problem.radix, position) - 1));
  let best = start;
  const open: Box[] = [];
  const push = (lo: readonly number[], hi: readonly number[]): void => {
    open.push({ lo, hi, least: boundOf(lo, hi) });
  };
  const promises = ({ least }: Box): boolean => compareScores(least, 0, best.cost, 0) < 0;
  push(
    radix.map(() => 0),
    radix.map((levels) => levels - 1),
  );
  for (let looked = 0; open.length > 0 && looked < most; looked++) {
    const box = open.pop();
    if (!box || !promises(box)) continue;
    if (sizeOf(box) <= FEW) {
      for (const setting of settingsIn(box)) {
        const cost = costOf(setting);
        if (compareScores(cost, 0, best.cost, 0) < 0) best = { setting: [...setting], cost };
      }
      continue;
    }
    for (const [lo, hi] of halvesOf(box, weights)) push(lo, hi);
    // The more promising half is looked at first.
    const [a, b] = [itemAt(open, open.length - 2), itemAt(open, open.length - 1)];
    if (compareScores(a.least, 0, b.least, 0) < 0) open.splice(-2, 2, b, a);
  }
  return { setting: best.setting, gap: gapOf(open.filter(promises), best.cost) };
}

function boxesFor(own: readonly number[], touched: readonly AskedZone[]): number {
  const bags = touched.reduce((sum, { light }) => sum + light.bags, 0);
  return Math.min(BOXES_MOST, Math.ceil(WORK_MOST / Math.max(1, bags * own.length)));
}

/** The parts of a score that outputs have by themselves. */
function addOutputs(
  least: Float64Array,
  problem: Problem,
  own: readonly number[],
  digits: readonly number[],
  lo: readonly number[],
  hi: readonly number[],
): void {
  const put = (part: number, value: number): void => {
    least[part] = itemAt(least, part) + value;
  };
  own.forEach((position, n) => {
    const [from, to] = [itemAt(lo, n), itemAt(hi, n)];
    const before = itemAt(problem.before, position);
    if (before < from || before > to) put(CHANGES, 1);
    put(ENERGY, outputCost(problem, position, from).energy);
    put(
      NUMBERS,
      Math.min(outputCost(problem, position, from).number, outputCost(problem, position, to).number),
    );
  });
  if (problem.limits.length === 0) return;
  const lowest = [...digits];
  own.forEach((position, n) => {
    lowest[position] = itemAt(lo, n);
  });
  put(OVERLOAD, overload(problem, lowest));
}

/** How strongly an output at full shines into the zones, for choosing what to cut; never nothing. */
function weightOf(zones: readonly AskedZone[], position: number): number {
  return zones.reduce((sum, { at, light }) => {
    const n = at.indexOf(position);
    return n < 0 ? sum : sum + itemAt(light.influences, n).peak;
  }, 1);
}

const sizeOf = ({ lo, hi }: Box): number =>
  lo.reduce((size, from, n) => size * (itemAt(hi, n) - from + 1), 1);

/** A box cut in two across the output whose width weighs most. */
function halvesOf(
  { lo, hi }: Box,
  weights: readonly number[],
): (readonly [readonly number[], readonly number[]])[] {
  const widths = lo.map((from, n) => (itemAt(hi, n) - from) * itemAt(weights, n));
  const at = widths.indexOf(Math.max(...widths));
  const middle = (itemAt(lo, at) + itemAt(hi, at)) >> 1;
  const put = (list: readonly number[], value: number): number[] =>
    list.map((digit, n) => (n === at ? value : digit));
  return [
    [lo, put(hi, middle)],
    [put(lo, middle + 1), hi],
  ];
}

function* settingsIn({ lo, hi }: Box): Generator<readonly number[]> {
  const setting = [...lo];
  for (;;) {
    yield setting;
    let at = 0;
    while (at < setting.length && setting[at] === hi[at]) setting[at] = itemAt(lo, at++);
    if (at === setting.length) return;
    setting[at] = itemAt(setting, at) + 1;
  }
}

/** By how much the best of the open boxes could beat a cost. */
function gapOf(open: readonly Box[], cost: Float64Array): Unsettled | undefined {
  const least = open.reduce<Float64Array | undefined>(
    (top, box) => (top === undefined || compareScores(box.least, 0, top, 0) < 0 ? box.least : top),
    undefined,
  );
  if (least === undefined) return undefined;
  const part = least.findIndex((value, n) => value < itemAt(cost, n));
  return part < 0 ? undefined : { part, by: itemAt(cost, part) - itemAt(least, part) };
}
