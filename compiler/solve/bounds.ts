/**
 * What no mixture of two patterns can beat.
 *
 * Always holds: the pull of a mixture lies in the angle between the two pulls, the
 * short way round; a ratio of mixed faces lies between the two ratios; unlit, level
 * and dark of a mixture lie between those of the two. So a bound never exceeds the
 * score of a mixture.
 */

import { itemAt } from '../../shared/assert.ts';
import { type AskedZone, type Problem, steadyCosts } from './problem.ts';
import {
  ANGLE_MOST,
  angleOff,
  CONTRAST,
  contrastExcess,
  DARK,
  DIRECTION,
  LENGTH,
  LEVEL,
  PATTERNS,
  pairBalance,
  UNLIT,
} from './score.ts';

/** One zone under one pattern or mixture. */
export interface Look {
  /** Per bag the signed angle between pull and side, hundredths of a degree; empty for upright. */
  readonly angles: Int32Array;
  /** Signed contrast excesses: per bag, or for upright per bag and pair of faces. */
  readonly contrasts: Int32Array;
  /** Unlit, level and dark by the minute. */
  readonly steady: Float64Array;
}

const NONE = new Int32Array(0);

/** Looks at one zone under one of its patterns. */
export function lookAtPattern(zone: AskedZone, pattern: number): Look {
  const { table } = zone;
  const steady = steadyCosts(table, zone.ask, pattern);
  return { ...shapeOf(zone, table.sums, pattern * table.bags * table.columns), steady };
}

/** Looks at one zone under a mixture: minutes of one pattern and of another. */
export function lookAtMixture(
  zone: AskedZone,
  first: { pattern: number; minutes: number; look: Look },
  second: { pattern: number; minutes: number; look: Look },
): Look {
  const { table } = zone;
  const size = table.bags * table.columns;
  if (zone.ask.kind === 'dark' || size === 0)
    return { angles: NONE, contrasts: NONE, steady: first.look.steady };
  const rows = new Float64Array(size);
  for (let i = 0; i < size; i++) {
    rows[i] =
      first.minutes * itemAt(table.sums, first.pattern * size + i) +
      second.minutes * itemAt(table.sums, second.pattern * size + i);
  }
  const share = first.minutes / (first.minutes + second.minutes);
  const steady = first.look.steady.map(
    (cost, i) => share * cost + (1 - share) * itemAt(second.look.steady, i),
  );
  return { ...shapeOf(zone, rows, 0), steady };
}

function shapeOf({ table, ask }: AskedZone, rows: Float64Array, start: number) {
  if (ask.kind === 'dark') return { angles: NONE, contrasts: NONE };
  const { bags, columns } = table;
  const { side } = ask;
  if (side === undefined) {
    const signed: number[] = [];
    for (let bag = 0; bag < bags; bag++) signed.push(...pairBalance(rows, start + bag * columns));
    return { angles: NONE, contrasts: Int32Array.from(signed) };
  }
  const angles = new Int32Array(bags);
  const contrasts = new Int32Array(bags);
  for (let bag = 0; bag < bags; bag++) {
    const at = start + bag * columns;
    const turn = itemAt(rows, at) * side.normal[1] - itemAt(rows, at + 1) * side.normal[0];
    angles[bag] = angleOff(rows, at, side) * (turn < 0 ? -1 : 1);
    contrasts[bag] = contrastExcess(rows, at, ask);
  }
  return { angles, contrasts };
}

/** A score no mixture of the two (zone by zone) can beat, and no mixture of two mixtures between them either. */
export function boundOf(problem: Problem, a: readonly Look[], b: readonly Look[]): Float64Array {
  const least = new Float64Array(LENGTH);
  least[PATTERNS] = 2;
  for (let zone = 0; zone < a.length; zone++) {
    const [x, y] = [itemAt(a, zone), itemAt(b, zone)];
    for (const part of [UNLIT, LEVEL, DARK]) {
      // A hair is taken off, for shares of minutes are not whole numbers.
      least[part] =
        itemAt(least, part) +
        problem.minutes * Math.min(itemAt(x.steady, part), itemAt(y.steady, part)) * (1 - 1e-12);
    }
    least[DIRECTION] = itemAt(least, DIRECTION) + problem.minutes * commonAngle(x.angles, y.angles);
    least[CONTRAST] = itemAt(least, CONTRAST) + problem.minutes * commonContrast(x.contrasts, y.contrasts);
  }
  return least;
}

/** A score no mixture of any two patterns can beat in direction and contrast. */
export function leastOf(problem: Problem): Float64Array {
  const least = new Float64Array(LENGTH);
  for (const zone of problem.zones) {
    if (zone.ask.kind === 'dark' || zone.table.bags === 0) continue;
    zone.memo.least ??= leastOfZone(zone);
    least[DIRECTION] = itemAt(least, DIRECTION) + problem.minutes * zone.memo.least[0];
    least[CONTRAST] = itemAt(least, CONTRAST) + problem.minutes * zone.memo.least[1];
  }
  return least;
}

function leastOfZone(zone: AskedZone): readonly [number, number] {
  const all = Array.from({ length: zone.table.size }, (_, pattern) => lookAtPattern(zone, pattern));
  let [direction, contrast] = [Number.POSITIVE_INFINITY, Number.POSITIVE_INFINITY];
  for (let a = 0; a < all.length; a++) {
    if (itemAt(itemAt(all, a).steady, UNLIT) > 0) continue;
    for (let b = a; b < all.length; b++) {
      if (itemAt(itemAt(all, b).steady, UNLIT) > 0) continue;
      if (direction > 0)
        direction = Math.min(direction, commonAngle(itemAt(all, a).angles, itemAt(all, b).angles));
      if (contrast > 0)
        contrast = Math.min(contrast, commonContrast(itemAt(all, a).contrasts, itemAt(all, b).contrasts));
    }
  }
  // A zone that no pattern lights may be mixed from anything.
  return [direction, contrast].map((one) => (Number.isFinite(one) ? one : 0)) as [number, number];
}

/** Begun degrees beyond tolerance that every pull between the two has, for the worst bag. */
function commonAngle(a: Int32Array, b: Int32Array): number {
  let most = 0;
  for (let bag = 0; bag < a.length; bag++) {
    const [x, y] = [itemAt(a, bag), itemAt(b, bag)];
    const crosses = x < 0 !== y < 0 && Math.abs(x) + Math.abs(y) <= 18_000;
    // One hundredth is given away to the rounding of the angles.
    const excess = crosses ? 0 : Math.min(Math.abs(x), Math.abs(y)) - 1 - ANGLE_MOST;
    if (excess > 0) most = Math.max(most, Math.ceil(excess / 100));
  }
  return most;
}

/** The greatest excess both have to the same side. */
function commonContrast(a: Int32Array, b: Int32Array): number {
  let most = 0;
  for (let i = 0; i < a.length; i++) {
    const [x, y] = [itemAt(a, i), itemAt(b, i)];
    if (x > 0 && y > 0) most = Math.max(most, Math.min(x, y));
    else if (x < 0 && y < 0) most = Math.max(most, Math.min(-x, -y));
  }
  return most;
}
