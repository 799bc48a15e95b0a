/**
 * The level a bag gets at least and at most within a box of settings.
 *
 * The level at a point is the longest of some sums of vectors: by the triangle inequality
 * it exceeds that at the low corner by at most the lengths added, and it is at least what
 * lies along the direction that is longest there.
 *
 * Always holds: no setting in the box lies outside; a hundredth is given away to rounding.
 */

import { itemAt, numberAt } from '../../shared/assert.ts';
import { POINT_LENGTH } from '../light/row.ts';
import { FULL } from './patterns.ts';

/** From and to, both within. */
export type Between = readonly [low: number, high: number];

/** Vectors kept of a point: of all light, and of the light before and behind each of the row's axes. */
const VECTORS = 1 + (2 * (POINT_LENGTH - 4)) / 3;

/** Per point the vectors, their lengths and the even part, sixteenths of hundredths of a lux. */
export interface PointParts {
  readonly vectors: Float64Array;
  readonly lengths: Float64Array;
  readonly even: Float64Array;
}

/** What is kept of points, end to end, taken apart. */
export function pointParts(points: Float64Array): PointParts {
  const count = points.length / POINT_LENGTH;
  const vectors = new Float64Array(count * VECTORS * 3);
  const even = new Float64Array(count);
  for (let n = 0; n < count; n++) {
    const [at, into] = [n * POINT_LENGTH, n * VECTORS * 3];
    even[n] = numberAt(points, at + 3);
    for (let i = 0; i < 3; i++) {
      const whole = numberAt(points, at + i);
      vectors[into + i] = whole;
      for (let k = 0; k < POINT_LENGTH - 4; k += 3) {
        const before = numberAt(points, at + 4 + k + i);
        vectors[into + 3 + 2 * k + i] = before;
        vectors[into + 6 + 2 * k + i] = whole - before;
      }
    }
  }
  return { vectors, even, lengths: lengthsOf(vectors) };
}

/** The length of each of some vectors. */
export function lengthsOf(vectors: Float64Array): Float64Array {
  const lengths = new Float64Array(vectors.length / 3);
  for (let k = 0; k < lengths.length; k++) {
    lengths[k] = Math.hypot(
      numberAt(vectors, 3 * k),
      numberAt(vectors, 3 * k + 1),
      numberAt(vectors, 3 * k + 2),
    );
  }
  return lengths;
}

/** The least and the greatest level of a bag in a box, hundredths of a lux. */
export function levelsIn(
  base: PointParts,
  steps: readonly PointParts[],
  from: readonly number[],
  width: readonly number[],
): Between {
  const count = base.even.length;
  const { low, more, wide } = cornerOf(base, steps, from, width);
  let [least, most] = [0, 0];
  // Bare loops: this is where the search spends its time.
  for (let n = 0; n < count; n++) {
    const even = numberAt(low.even, n);
    let longest = -1;
    let furthest = 0;
    let at = 0;
    for (let k = n * VECTORS; k < (n + 1) * VECTORS; k++) {
      const x = numberAt(low.vectors, 3 * k);
      const y = numberAt(low.vectors, 3 * k + 1);
      const z = numberAt(low.vectors, 3 * k + 2);
      const length = Math.sqrt(x * x + y * y + z * z);
      const far = length + numberAt(more.lengths, k);
      if (length > longest) {
        longest = length;
        at = 3 * k;
      }
      if (far > furthest) furthest = far;
    }
    least += Math.max(0, longest + (longest > 0 ? backward(low.vectors, at, wide) / longest : 0)) + even;
    most += furthest + even + numberAt(more.even, n);
  }
  return [Math.max(0, least / FULL / count - 1), most / FULL / count + 1];
}

/** An output that may be turned up within a box: what a step of it gives, and by how many steps. */
interface Wide {
  readonly vectors: Float64Array;
  readonly steps: number;
}

/** The low corner of a box, what its width may add to the lengths and to the even part, and the outputs that may. */
function cornerOf(
  base: PointParts,
  steps: readonly PointParts[],
  from: readonly number[],
  width: readonly number[],
) {
  const low = { vectors: base.vectors.slice(), even: base.even.slice() };
  const more = {
    lengths: new Float64Array(base.lengths.length),
    even: new Float64Array(base.even.length),
  };
  const wide: Wide[] = [];
  steps.forEach(({ vectors, lengths, even }, i) => {
    const [digit, up] = [itemAt(from, i), itemAt(width, i)];
    if (digit > 0) {
      addTimes(low.vectors, digit, vectors);
      addTimes(low.even, digit, even);
    }
    if (up === 0) return;
    addTimes(more.lengths, up, lengths);
    addTimes(more.even, up, even);
    wide.push({ vectors, steps: up });
  });
  return { low, more, wide };
}

function addTimes(sum: Float64Array, times: number, values: Float64Array): void {
  for (let k = 0; k < sum.length; k++) sum[k] = numberAt(sum, k) + times * numberAt(values, k);
}

/** How far the outputs may at most take back of a vector (times its length). */
function backward(vectors: Float64Array, at: number, wide: readonly Wide[]): number {
  const x = numberAt(vectors, at);
  const y = numberAt(vectors, at + 1);
  const z = numberAt(vectors, at + 2);
  let down = 0;
  for (const { vectors: own, steps } of wide) {
    const along = x * numberAt(own, at) + y * numberAt(own, at + 1) + z * numberAt(own, at + 2);
    if (along < 0) down += steps * along;
  }
  return down;
}
