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
  readonly influences: readonly Influence[];
  readonly sums: PatternSums;

  /**
   * `may` are the outputs that may burn and count for the zone, `background` the entries that are
   * on; zones that get the same from as many outputs share their sums in `known`.
   */
  constructor(
    zone: ZoneField,
    all: readonly FieldOutput[],
    may: readonly number[],
    background: readonly number[],
    known: KnownSums = new KnownSums(),
  ) {
    this.bags = zone.bags;
    this.columns = zone.columns;
    this.outputs = countable(may, zone, all);
    this.radix = this.outputs.map((output) => radixOf(itemAt(all, output)));
    this.influences = this.outputs.map((output) => sure(zone.outputs[output]));
    const room = background.map((index) => itemAt(zone.background, index));
    this.sums = known.of(zone, this.influences, this.radix, room);
  }

  /** Per bag the level that the room alone gives. */
  get room(): Float64Array {
    return this.sums.room;
  }

  get base(): PatternSums['base'] {
    return this.sums.base;
  }

  /** What a pattern gives. */
  of(pattern: number): PatternLight {
    return this.sums.of(pattern);
  }
}

/** Sums already begun, by what is summed. */
export class KnownSums {
  private readonly ids = new Map<Influence, number>();
  private readonly sums = new Map<string, PatternSums>();

  of(
    { bags, columns }: ZoneField,
    influences: readonly Influence[],
    radix: readonly number[],
    room: readonly Influence[],
  ): PatternSums {
    const key = `${bags} ${columns}|${this.told(influences)}|${radix.join()}|${this.told(room)}`;
    const known =
      this.sums.get(key) ?? new PatternSums(this.sums.size, bags, columns, influences, radix, room);
    this.sums.set(key, known);
    return known;
  }

  private told(influences: readonly Influence[]): string {
    return influences
      .map((one) => {
        const id = this.ids.get(one) ?? this.ids.size;
        this.ids.set(one, id);
        return id;
      })
      .join();
  }
}

/** What some outputs give the bags of a zone, pattern by pattern. */
class PatternSums {
  /** Different for different sums. */
  readonly id: number;
  /** Per bag the level that the room alone gives. */
  readonly room: Float64Array;
  readonly base: { readonly means: Float64Array; readonly points: Float64Array };

  private readonly bags: number;
  private readonly columns: number;
  private readonly influences: readonly Influence[];
  private readonly radix: readonly number[];
  private readonly known = new Map<number, PatternLight>();
  /** The sums of the pattern worked out last, and its levels: the next often differs in few. */
  private readonly last: { readonly means: Float64Array; readonly points: Float64Array };
  private readonly lastLevels: number[];

  constructor(
    id: number,
    bags: number,
    columns: number,
    influences: readonly Influence[],
    radix: readonly number[],
    room: readonly Influence[],
  ) {
    this.id = id;
    this.bags = bags;
    this.columns = columns;
    this.influences = influences;
    this.radix = radix;
    this.base = {
      means: new Float64Array(bags * columns),
      points: new Float64Array(bags * POINTS * POINT_LENGTH),
    };
    for (const one of room) this.add(this.base, one, FULL);
    this.room = this.levelsOf(this.base.points);
    this.last = { means: this.base.means.slice(), points: this.base.points.slice() };
    this.lastLevels = influences.map(() => 0);
  }

  of(pattern: number): PatternLight {
    const known = this.known.get(pattern);
    if (known !== undefined) return known;
    this.moveTo(pattern);
    const made = { rows: this.last.means.slice(), levels: this.levelsOf(this.last.points) };
    this.known.set(pattern, made);
    return made;
  }

  /** Makes the last sums those of a pattern: from the room's light or from the last, whichever is fewer outputs away. */
  private moveTo(pattern: number): void {
    const { last, lastLevels, radix } = this;
    let rest = pattern;
    const levels = radix.map((digits) => {
      const level = levelOf(rest % digits, digits);
      rest = Math.floor(rest / digits);
      return level;
    });
    const changed = levels.filter((level, n) => level !== lastLevels[n]).length;
    if (changed > levels.filter((level) => level > 0).length) {
      last.means.set(this.base.means);
      last.points.set(this.base.points);
      lastLevels.fill(0);
    }
    levels.forEach((level, n) => {
      const more = level - itemAt(lastLevels, n);
      // All are whole numbers, so that adding and taking away leaves no rest.
      if (more !== 0) this.add(last, itemAt(this.influences, n), more);
      lastLevels[n] = level;
    });
  }

  private add(sums: PatternSums['base'], from: Influence, level: number): void {
    for (let bag = 0; bag < this.bags; bag++) {
      addTo(sums.means, bag * this.columns, itemAt(from.means, bag), level);
      addTo(sums.points, bag * POINTS * POINT_LENGTH, itemAt(from.points, bag), level);
    }
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

/** Adds so many times some values to a sum, from `at` on. */
export function addTo(sum: Float64Array, at: number, values: Int32Array, level: number): void {
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
