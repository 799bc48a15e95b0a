/**
 * What every pattern of the outputs that reach a zone gives its bags.
 *
 * Always holds: sums are sixteenths of hundredths of a lux, so that 17 levels stay
 * whole numbers; the level at a point is that of a small surface turned to the
 * strongest direction of any; background light that is on is part of every pattern.
 */

import { itemAt } from '../../shared/assert.ts';
import type { FieldOutput, Influence, ZoneField } from '../light/field.ts';
import { POINTS } from '../light/headspace.ts';
import { levelAt, POINT_LENGTH } from '../light/row.ts';

export const FULL = 16;

/** The patterns of one zone, told by a number whose digits (first output lowest) are the levels. */
export interface PatternTable {
  /** Outputs that reach the zone, as indices into the field's outputs, ascending. */
  readonly outputs: readonly number[];
  /** Levels each may have: 2 (off, full) or 17. */
  readonly radix: readonly number[];
  readonly size: number;
  readonly bags: number;
  readonly columns: number;
  /** Per pattern and bag a row of means, as in the field. */
  readonly sums: Float64Array;
  /** Per pattern and bag the mean level over the headspace, hundredths of a lux. */
  readonly levels: Float64Array;
}

/** Light below this on every face (hundredths of a lux) does not tie an output to a zone. */
const TIE_LEAST = 10;

/** The outputs that count for a zone, ascending. */
export const tiedOutputs = (zone: ZoneField): number[] =>
  zone.reach.filter((output) => itemAt(zone.outputs, output).peak >= TIE_LEAST);

/** Most patterns of one zone that are worked out. */
const PATTERNS_MOST = 5000;

/** Levels a dimmed output may have, finest first; coarser ones where a zone would have too many patterns. */
const STEPS = [17, 9, 5, 3, 2] as const;

/**
 * The levels of a dimmed output in a cluster: as fine as leaves every zone few enough
 * patterns with the outputs that give it at least a fiftieth of what the strongest gives.
 */
export function dimSteps(zones: readonly ZoneField[], all: readonly FieldOutput[]): number {
  const fits = (steps: number): boolean =>
    zones.every((zone) => {
      const strong = strongest(zone);
      const main = strong.filter(
        (output) => itemAt(zone.outputs, output).peak * 50 >= itemAt(zone.outputs, itemAt(strong, 0)).peak,
      );
      return patternCount(main.map((output) => radixOf(itemAt(all, output), steps))) <= PATTERNS_MOST;
    });
  return STEPS.find(fits) ?? 2;
}

function strongest(zone: ZoneField): number[] {
  return tiedOutputs(zone).sort(
    (a, b) => itemAt(zone.outputs, b).peak - itemAt(zone.outputs, a).peak || a - b,
  );
}

/** Outputs that give a zone less than this (hundredths of a lux) and this share of its strongest are not tried out for it. */
const FAINT = 200;
const FAINT_SHARE = 200;

/** The outputs of which a zone's patterns are made: as many of the strongest as can be, the faint ones left out. */
function patternOutputs(zone: ZoneField, all: readonly FieldOutput[], steps: number): number[] {
  const kept: number[] = [];
  let size = 1;
  for (const output of strongest(zone)) {
    const { peak } = itemAt(zone.outputs, output);
    if (peak < FAINT && peak * FAINT_SHARE < itemAt(zone.outputs, kept[0] ?? output).peak) break;
    size *= radixOf(itemAt(all, output), steps);
    if (size > PATTERNS_MOST) break;
    kept.push(output);
  }
  return kept.sort((a, b) => a - b);
}

/** Number of levels of an output, off included. */
export const radixOf = (output: FieldOutput, steps: number): number => (output.dimmable ? steps : 2);

/** Level (0–16) of a digit. */
export const levelOf = (digit: number, radix: number): number => (digit * FULL) / (radix - 1);

/** Number of patterns of outputs with so many levels each. */
export const patternCount = (radix: readonly number[]): number => radix.reduce((a, b) => a * b, 1);

/** Works out all patterns of a zone; `background` are the entries that are on, `steps` the levels of dimmed outputs. */
export function patternTable(
  zone: ZoneField,
  all: readonly FieldOutput[],
  background: readonly number[],
  steps: number,
): PatternTable {
  const outputs = patternOutputs(zone, all, steps);
  const radix = outputs.map((output) => radixOf(itemAt(all, output), steps));
  const size = patternCount(radix);
  const { bags, columns } = zone;
  const table = { outputs, radix, size, bags, columns };
  const sums = new Float64Array(size * bags * columns);
  const levels = new Float64Array(size * bags);
  const steady = background.map((index) => itemAt(zone.background, index));
  const influences = outputs.map((output) => itemAt(zone.outputs, output));
  for (let bag = 0; bag < bags; bag++) {
    fillBag(table, sums, levels, bag, influences, steady);
  }
  return { ...table, sums, levels };
}

function fillBag(
  { radix, size, bags, columns }: Omit<PatternTable, 'sums' | 'levels'>,
  sums: Float64Array,
  levels: Float64Array,
  bag: number,
  influences: readonly Influence[],
  steady: readonly Influence[],
): void {
  const mean = new Float64Array(columns);
  const points = new Float64Array(POINTS * POINT_LENGTH);
  const add = (from: Influence, weight: number): void => {
    const [m, p] = [itemAt(from.means, bag), itemAt(from.points, bag)];
    for (let i = 0; i < columns; i++) mean[i] = (mean[i] ?? 0) + weight * (m[i] ?? 0);
    for (let i = 0; i < p.length; i++) points[i] = (points[i] ?? 0) + weight * (p[i] ?? 0);
  };
  for (const light of steady) add(light, FULL);
  const digits = radix.map(() => 0);
  for (let pattern = 0; pattern < size; pattern++) {
    if (pattern > 0) countUp(digits, radix, (at, weight) => add(itemAt(influences, at), weight));
    sums.set(mean, (pattern * bags + bag) * columns);
    levels[pattern * bags + bag] = meanLevel(points);
  }
}

/** Steps to the next pattern, telling each output's change of level. */
function countUp(
  digits: number[],
  radix: readonly number[],
  change: (at: number, weight: number) => void,
): void {
  for (let at = 0; at < digits.length; at++) {
    const before = levelOf(itemAt(digits, at), itemAt(radix, at));
    digits[at] = (itemAt(digits, at) + 1) % itemAt(radix, at);
    change(at, levelOf(itemAt(digits, at), itemAt(radix, at)) - before);
    if (digits[at] !== 0) return;
  }
}

/** Mean over the points of the level, hundredths of a lux. */
function meanLevel(points: Float64Array): number {
  let sum = 0;
  for (let at = 0; at < points.length; at += POINT_LENGTH) sum += levelAt(points, at);
  return Math.round(sum / FULL / POINTS);
}
