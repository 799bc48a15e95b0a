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

// What follows runs for every lamp, point and pattern: it reads its arrays without `itemAt`, which
// would cost as much again; a row is always whole.

/** Copies what `rowLevelAt` needs out of a whole row of so many pairs of faces. */
export function keepPoint(row: Float64Array, pairs: number, into: Float64Array, at: number): void {
  for (let i = 0; i < 3; i++) into[at + i] = row[VECTOR + i] ?? 0;
  into[at + 3] = row[SCATTER] ?? 0;
  const halves = meanLength(pairs);
  for (let i = 0; i < 3 * AXES.length; i++) into[at + 4 + i] = row[halves + i] ?? 0;
}

/** Illuminance of the surface that is turned best, of any direction, from what is kept of a point. */
export function rowLevelAt(points: Float64Array | Int32Array, at: number): number {
  const [x, y, z] = [points[at] ?? 0, points[at + 1] ?? 0, points[at + 2] ?? 0];
  let most = x * x + y * y + z * z;
  for (let i = at + 4; i < at + POINT_LENGTH; i += 3) {
    const a = points[i] ?? 0;
    const b = points[i + 1] ?? 0;
    const c = points[i + 2] ?? 0;
    const front = a * a + b * b + c * c;
    const back = (x - a) * (x - a) + (y - b) * (y - b) + (z - c) * (z - c);
    if (front > most) most = front;
    if (back > most) most = back;
  }
  return Math.sqrt(most) + (points[at + 3] ?? 0);
}

/** Normals of the planes that cut a row's light in two: the faces', then `AXES`. */
export const planesOf = (normals: Normals): readonly Vec3[] => [
  ...normals.map(([x, y]): Vec3 => [x, y, 0]),
  ...AXES,
];

/**
 * Light as the innermost loops hand it on: x, y, z and scalar, as in `Light`, in an array that
 * is used again, for making an object at each of millions of steps costs more than the step.
 */
export type Flow = Float64Array;

export const noFlow = (): Flow => new Float64Array(4);

/** Puts a light into a flow. */
export function setFlow(flow: Flow, { x, y, z, scalar }: Light): Flow {
  flow[0] = x;
  flow[1] = y;
  flow[2] = z;
  flow[3] = scalar;
  return flow;
}

const ray = noFlow();

/** Adds light that arrives from one direction only. */
export function addRay(row: Float64Array, light: Light, left: Left, planes: readonly Vec3[]): void {
  if (left.total === 0) return;
  setFlow(ray, light);
  addBody(row, ray, left, planes);
  for (let k = 0; k < planes.length; k++) {
    const plane = planes[k] ?? NOWHERE;
    const before = plane[0] * light.x + plane[1] * light.y + plane[2] * light.z > 0;
    addPart(row, k, planes, before ? ray : undefined, ray, left.direct);
  }
}

const NOWHERE: Vec3 = [0, 0, 0];

/**
 * Adds vector and scalar, and of the light that film scattered what goes to every face:
 * an even part, and a part that falls smoothly from the side it comes from to the other.
 */
export function addBody(row: Float64Array, light: Flow, left: Left, planes: readonly Vec3[]): void {
  const [x, y, scalar] = [light[0] ?? 0, light[1] ?? 0, light[3] ?? 0];
  const even = (left.total - left.direct + left.inner) * scalar;
  const smooth = (left.kept - left.direct) / 2;
  addVector(row, VECTOR, light, left.kept);
  addTo(row, SCALAR, (left.total + left.inner) * scalar);
  addTo(row, SCATTER, even);
  const pairs = planes.length - AXES.length;
  for (let k = 0; k < pairs; k++) {
    const normal = planes[k] ?? NOWHERE;
    const tilted = smooth * (normal[0] * x + normal[1] * y);
    addTo(row, FACES + 2 * k, even + tilted);
    addTo(row, FACES + 2 * k + 1, even - tilted);
  }
  if (smooth === 0) return;
  const halves = meanLength(pairs);
  for (let k = 0; k < AXES.length; k++) addVector(row, halves + 3 * k, light, smooth);
}

/** Adds to the face or half-space behind plane `k` the part of some light before it (undefined: none). */
export function addPart(
  row: Float64Array,
  k: number,
  planes: readonly Vec3[],
  part: Flow | undefined,
  whole: Flow,
  direct: number,
): void {
  const pairs = planes.length - AXES.length;
  if (k >= pairs) {
    if (part !== undefined) addVector(row, meanLength(pairs) + 3 * (k - pairs), part, direct);
    return;
  }
  const normal = planes[k] ?? NOWHERE;
  const front = part === undefined ? 0 : Math.max(0, normal[0] * (part[0] ?? 0) + normal[1] * (part[1] ?? 0));
  const behind = Math.max(0, front - normal[0] * (whole[0] ?? 0) - normal[1] * (whole[1] ?? 0));
  addTo(row, FACES + 2 * k, direct * front);
  addTo(row, FACES + 2 * k + 1, direct * behind);
}

function addTo(row: Float64Array, at: number, value: number): void {
  row[at] = (row[at] ?? 0) + value;
}

/** Adds `share` of a light's vector at three places of a row. */
function addVector(row: Float64Array, at: number, light: Flow, share: number): void {
  row[at] = (row[at] ?? 0) + share * (light[0] ?? 0);
  row[at + 1] = (row[at + 1] ?? 0) + share * (light[1] ?? 0);
  row[at + 2] = (row[at + 2] ?? 0) + share * (light[2] ?? 0);
}
