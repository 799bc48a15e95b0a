/**
 * What a pattern of the outputs that may burn for a zone gives its bags.
 *
 * Always holds: sums are sixteenths of hundredths of a lux, so that 17 levels stay
 * whole numbers; the level at a point is that of a small surface turned to the
 * strongest direction of any; background light that is on is part of every pattern; a pattern is
 * worked out when it is first asked for, and kept.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { FieldOutput, Influence, ZoneField } from '../light/field.ts';
import { POINTS } from '../light/headspace.ts';
import { POINT_LENGTH, rowLevelAt } from '../light/row.ts';

export const FULL = 16;

/** What one pattern gives. */
export interface PatternLight {
  /** Per bag a row of means, as in the field, end to end. */
  readonly rows: Float64Array;
  /** Per bag the mean level over the headspace, hundredths of a lux. */
  readonly levels: Float64Array;
}

/** Light below this on every face (hundredths of a lux) does not tie an output to a zone. */
const TIE_LEAST = 10;

/** The outputs that count for a zone, ascending. */
export const tiedOutputs = (zone: ZoneField): number[] =>
  zone.reach.filter((output) => sure(zone.outputs[output]).peak >= TIE_LEAST);

/** Whether anything of a lamp (index into the plan's) that counts reaches a zone. */
export const lampReaches = ({ lampPeaks }: ZoneField, lamp: number): boolean =>
  (lampPeaks.get(lamp) ?? 0) >= TIE_LEAST;

/** Number of levels of an output, off included. */
export const radixOf = (output: FieldOutput): number => (output.dimmable ? FULL + 1 : 2);

/** Level (0–16) of a digit. */
export const levelOf = (digit: number, radix: number): number => (digit * FULL) / (radix - 1);

/** Number of patterns of outputs with so many levels each. */
export const patternCount = (radix: readonly number[]): number => radix.reduce((a, b) => a * b, 1);

/** Pattern numbers stay whole numbers below this. */
const COUNT_MOST = 2 ** 50;

/** The light of one zone, pattern by pattern; a pattern's number has the outputs' levels as digits, the first lowest. */
export class LightOnZone {
  /** Outputs that may burn and count for the zone, as indices into the field's outputs, ascending. */
  readonly outputs: readonly number[];
  /** Levels each may have: 2 (off, full) or 17. */
  readonly radix: readonly number[];
  readonly bags: number;
  readonly columns: number;
  /** Per bag the level that the room alone gives. */
  readonly room: Float64Array;

  readonly influences: readonly Influence[];
  readonly base: { readonly means: Float64Array; readonly points: Float64Array };
  private readonly scratch: Float64Array;
  private readonly known = new Map<number, PatternLight>();

  /** `may` are the outputs that may burn and count for the zone, `background` the entries that are on. */
  constructor(
    zone: ZoneField,
    all: readonly FieldOutput[],
    may: readonly number[],
    background: readonly number[],
  ) {
    this.bags = zone.bags;
    this.columns = zone.columns;
    this.outputs = countable(may, zone, all);
    this.radix = this.outputs.map((output) => radixOf(itemAt(all, output)));
    this.influences = this.outputs.map((output) => sure(zone.outputs[output]));
    this.scratch = new Float64Array(this.bags * POINTS * POINT_LENGTH);
    this.base = this.sumOf(background.map((index) => [itemAt(zone.background, index), FULL] as const));
    this.room = this.levelsOf(this.base.points);
  }

  /** What a pattern gives. */
  of(pattern: number): PatternLight {
    const known = this.known.get(pattern);
    if (known !== undefined) return known;
    const burning: (readonly [Influence, number])[] = [];
    let rest = pattern;
    this.radix.forEach((radix, n) => {
      const level = levelOf(rest % radix, radix);
      rest = Math.floor(rest / radix);
      if (level > 0) burning.push([itemAt(this.influences, n), level]);
    });
    const { means, points } = this.sumOf(burning, this.base);
    const made = { rows: means, levels: this.levelsOf(points) };
    this.known.set(pattern, made);
    return made;
  }

  private sumOf(burning: readonly (readonly [Influence, number])[], base?: LightOnZone['base']) {
    const { bags, columns } = this;
    const length = POINTS * POINT_LENGTH;
    const means = base ? base.means.slice() : new Float64Array(bags * columns);
    // Points are only summed to be looked at: one array serves all patterns.
    const points = base ? this.scratch : new Float64Array(bags * length);
    if (base) points.set(base.points);
    for (const [from, level] of burning) {
      for (let bag = 0; bag < bags; bag++) {
        addTo(means, bag * columns, itemAt(from.means, bag), level);
        addTo(points, bag * length, itemAt(from.points, bag), level);
      }
    }
    return { means, points };
  }

  /** Mean over the points of each bag of the level on the best turned surface, hundredths of a lux. */
  private levelsOf(points: Float64Array): Float64Array {
    const { bags } = this;
    const levels = new Float64Array(bags);
    for (let bag = 0; bag < bags; bag++) {
      let sum = 0;
      const start = bag * POINTS * POINT_LENGTH;
      for (let n = 0; n < POINTS; n++) sum += rowLevelAt(points, start + n * POINT_LENGTH);
      levels[bag] = Math.round(sum / FULL / POINTS);
    }
    return levels;
  }
}

function addTo(sum: Float64Array, at: number, values: Int32Array, level: number): void {
  // A bare loop: this is where the choice spends its time.
  for (let i = 0; i < values.length; i++) sum[at + i] = (sum[at + i] ?? 0) + level * (values[i] ?? 0);
}

/** As many outputs as can be told apart by a whole number: the weakest are left out first. */
function countable(outputs: readonly number[], zone: ZoneField, all: readonly FieldOutput[]): number[] {
  const peak = (output: number): number => sure(zone.outputs[output]).peak;
  const kept: number[] = [];
  let size = 1;
  for (const output of [...outputs].sort((a, b) => peak(b) - peak(a) || a - b)) {
    size *= radixOf(itemAt(all, output));
    if (size > COUNT_MOST) break;
    kept.push(output);
  }
  return kept.sort((a, b) => a - b);
}
