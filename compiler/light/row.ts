/**
 * The row of numbers in which all light at one point is added up.
 *
 * Always holds: everything in a row adds up over lamps; a row holds the illumination
 * vector toward the light, the scalar illuminance, what every surface gets whatever way
 * it looks, the illuminance of upright faces two and two opposite, and for each of
 * `AXES` the vector of the light from the half of space that the axis points into.
 *
 * The illuminance of a surface with normal n is the greatest of n·V over all parts V of
 * the light, so the longest half-space vector is the illuminance of the best turned
 * surface, short of light that grazes both the half-space's edge and that surface.
 */

import { numberAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import type { Left } from './film.ts';
import type { Light } from './sources.ts';

/** Where the vector, the scalar, the even part and the first face stand in a row. */
export const VECTOR = 0;
export const SCALAR = 3;
export const SCATTER = 4;
export const FACES = 5;

/** Upright faces at azimuths 0, 180, 45, 225 … that every row begins with, whatever sides are asked for. */
export const STEADY_FACES = 8;

const GOLDEN = (1 + Math.sqrt(5)) / 2;
const LONG = Math.hypot(1, GOLDEN);
const [SHORT_PART, LONG_PART] = [1 / LONG, GOLDEN / LONG];

/** The six axes through opposite corners of an icosahedron: no direction is more than 37.4° from one. */
export const AXES: readonly Vec3[] = [
  [0, SHORT_PART, LONG_PART],
  [0, -SHORT_PART, LONG_PART],
  [SHORT_PART, LONG_PART, 0],
  [-SHORT_PART, LONG_PART, 0],
  [LONG_PART, 0, SHORT_PART],
  [LONG_PART, 0, -SHORT_PART],
];

/** Outward normals (x, y) of one of each pair of opposite upright faces. */
export type Normals = readonly (readonly [number, number])[];

/** Length of the part of a row that is told as means: up to and with the faces. */
export const meanLength = (pairs: number): number => FACES + 2 * pairs;

/** Length of a whole row for so many pairs of faces. */
export const rowLength = (pairs: number): number => meanLength(pairs) + 3 * AXES.length;

/** Length of what is kept of a point for its level: vector, even part, half-space vectors. */
export const POINT_LENGTH = 4 + 3 * AXES.length;

// What follows runs for every lamp, point and pattern.

/** Copies what `rowLevelAt` needs out of a whole row of so many pairs of faces. */
export function keepPoint(row: Float64Array, pairs: number, into: Float64Array, at: number): void {
  for (let i = 0; i < 3; i++) into[at + i] = numberAt(row, VECTOR + i);
  into[at + 3] = numberAt(row, SCATTER);
  const halves = meanLength(pairs);
  for (let i = 0; i < 3 * AXES.length; i++) into[at + 4 + i] = numberAt(row, halves + i);
}

/** Illuminance of the surface that is turned best, of any direction, from what is kept of a point. */
export function rowLevelAt(points: Float64Array | Int32Array, at: number): number {
  const [x, y, z] = [numberAt(points, at), numberAt(points, at + 1), numberAt(points, at + 2)];
  let most = x * x + y * y + z * z;
  for (let i = at + 4; i < at + POINT_LENGTH; i += 3) {
    const a = numberAt(points, i);
    const b = numberAt(points, i + 1);
    const c = numberAt(points, i + 2);
    const front = a * a + b * b + c * c;
    const back = (x - a) * (x - a) + (y - b) * (y - b) + (z - c) * (z - c);
    if (front > most) most = front;
    if (back > most) most = back;
  }
  return Math.sqrt(most) + numberAt(points, at + 3);
}

/** Normals of the planes that cut a row's light in two: the faces', then `AXES`. */
export const planesOf = (normals: Normals): readonly Vec3[] => [
  ...normals.map(([x, y]): Vec3 => [x, y, 0]),
  ...AXES,
];

/** Adds light that arrives from one direction only. */
export function addRay(row: Float64Array, light: Light, left: Left, planes: readonly Vec3[]): void {
  if (left.total === 0) return;
  addBody(row, light, left, planes);
  const into = partsOf(planes);
  for (const plane of planes) {
    const before = plane[0] * light.x + plane[1] * light.y + plane[2] * light.z > 0;
    addPart(row, into, plane, before ? light : undefined, light, left.direct);
  }
}

/** Where the next plane's part of some light goes in a row: so many pairs of faces, then half-spaces. */
export interface NextPart {
  readonly pairs: number;
  k: number;
}

export const partsOf = (planes: readonly Vec3[]): NextPart => ({ pairs: planes.length - AXES.length, k: 0 });

/**
 * Adds vector and scalar, and of the light that film scattered what goes to every face:
 * an even part, and a part that falls smoothly from the side it comes from to the other.
 */
export function addBody(row: Float64Array, light: Light, left: Left, planes: readonly Vec3[]): void {
  const even = (left.total - left.direct + left.inner) * light.scalar;
  const smooth = (left.kept - left.direct) / 2;
  addVector(row, VECTOR, light, left.kept);
  addTo(row, SCALAR, (left.total + left.inner) * light.scalar);
  addTo(row, SCATTER, even);
  const pairs = planes.length - AXES.length;
  let k = 0;
  for (const normal of planes) {
    if (k === pairs) break;
    const tilted = smooth * (normal[0] * light.x + normal[1] * light.y);
    addTo(row, FACES + 2 * k, even + tilted);
    addTo(row, FACES + 2 * k + 1, even - tilted);
    k++;
  }
  if (smooth === 0) return;
  const halves = meanLength(pairs);
  for (let half = 0; half < AXES.length; half++) addVector(row, halves + 3 * half, light, smooth);
}

/** Adds to the face or half-space of the next plane the part of some light before it (undefined: none). */
export function addPart(
  row: Float64Array,
  into: NextPart,
  normal: Vec3,
  part: Light | undefined,
  whole: Light,
  direct: number,
): void {
  const { pairs } = into;
  const k = into.k++;
  if (k >= pairs) {
    if (part !== undefined) addVector(row, meanLength(pairs) + 3 * (k - pairs), part, direct);
    return;
  }
  const front = part === undefined ? 0 : Math.max(0, normal[0] * part.x + normal[1] * part.y);
  addTo(row, FACES + 2 * k, direct * front);
  addTo(row, FACES + 2 * k + 1, direct * Math.max(0, front - normal[0] * whole.x - normal[1] * whole.y));
}

function addTo(row: Float64Array, at: number, value: number): void {
  row[at] = numberAt(row, at) + value;
}

/** Adds `share` of a light's vector at three places of a row. */
function addVector(row: Float64Array, at: number, light: Light, share: number): void {
  row[at] = numberAt(row, at) + share * light.x;
  row[at + 1] = numberAt(row, at + 1) + share * light.y;
  row[at + 2] = numberAt(row, at + 2) + share * light.z;
}
