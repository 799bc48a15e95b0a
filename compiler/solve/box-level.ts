/**
 * The level a bag gets at least and at most within a box of settings.
 *
 * The level at a point is the longest of some sums of vectors: by the triangle inequality
 * it exceeds that at the low corner by at most the lengths added, and it is at least what
 * lies along the direction that is longest there.
 *
 * Always holds: no setting in the box lies outside; a hundredth is given away to rounding.
 */

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
    even[n] = points[at + 3] ?? 0;
    for (let i = 0; i < 3; i++) {
      const whole = points[at + i] ?? 0;
      vectors[into + i] = whole;
      for (let k = 0; k < POINT_LENGTH - 4; k += 3) {
        const before = points[at + 4 + k + i] ?? 0;
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
    lengths[k] = Math.hypot(vectors[3 * k] ?? 0, vectors[3 * k + 1] ?? 0, vectors[3 * k + 2] ?? 0);
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
  const { vectors, lengths } = shifted(base, steps, from, width);
  let [least, most] = [0, 0];
  // Bare loops: this is where the search spends its time.
  for (let n = 0; n < count; n++) {
    let even = base.even[n] ?? 0;
    let more = 0;
    for (let i = 0; i < steps.length; i++) {
      const own = steps[i]?.even[n] ?? 0;
      even += (from[i] ?? 0) * own;
      more += (width[i] ?? 0) * own;
    }
    let longest = -1;
    let furthest = 0;
    let at = 0;
    for (let k = n * VECTORS; k < (n + 1) * VECTORS; k++) {
      const x = vectors[3 * k] ?? 0;
      const y = vectors[3 * k + 1] ?? 0;
      const z = vectors[3 * k + 2] ?? 0;
      const length = Math.sqrt(x * x + y * y + z * z);
      const far = length + (lengths[k] ?? 0);
      if (length > longest) {
        longest = length;
        at = 3 * k;
      }
      if (far > furthest) furthest = far;
    }
    least += Math.max(0, longest + (longest > 0 ? backward(vectors, at, steps, width) / longest : 0)) + even;
    most += furthest + even + more;
  }
  return [Math.max(0, least / FULL / count - 1), most / FULL / count + 1];
}

/** The vectors at the low corner of a box, and the lengths that its width may add to each. */
function shifted(
  base: PointParts,
  steps: readonly PointParts[],
  from: readonly number[],
  width: readonly number[],
): Pick<PointParts, 'vectors' | 'lengths'> {
  const vectors = base.vectors.slice();
  const lengths = new Float64Array(base.lengths.length);
  steps.forEach((points, i) => {
    const [digit, wide] = [from[i] ?? 0, width[i] ?? 0];
    if (digit > 0)
      for (let k = 0; k < vectors.length; k++)
        vectors[k] = (vectors[k] ?? 0) + digit * (points.vectors[k] ?? 0);
    if (wide > 0)
      for (let k = 0; k < lengths.length; k++)
        lengths[k] = (lengths[k] ?? 0) + wide * (points.lengths[k] ?? 0);
  });
  return { vectors, lengths };
}

/** How far the outputs may at most take back of a vector (times its length). */
function backward(
  vectors: Float64Array,
  at: number,
  steps: readonly PointParts[],
  width: readonly number[],
): number {
  const x = vectors[at] ?? 0;
  const y = vectors[at + 1] ?? 0;
  const z = vectors[at + 2] ?? 0;
  let down = 0;
  for (let i = 0; i < steps.length; i++) {
    const own = steps[i]?.vectors;
    if (!own) continue;
    const along = x * (own[at] ?? 0) + y * (own[at + 1] ?? 0) + z * (own[at + 2] ?? 0);
    if (along < 0) down += (width[i] ?? 0) * along;
  }
  return down;
}
