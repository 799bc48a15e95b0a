/**
 * What the surfaces round a shelf throw back of its lamps' light into the headspaces of a zone.
 *
 * Always holds: only lamps of the same shelf are thrown back; thrown back light varies so
 * little within a headspace that it is worked out at its eight outer cells and taken to
 * change evenly between them.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import { ALL, type Left } from './film.ts';
import { gather } from './gather.ts';
import { type Box, CELLS, gridPoints } from './headspace.ts';
import { exitances, type Patch, patchRay, viewsBetween } from './reflect.ts';
import { AXES, addRay, planesOf, rowLength, VECTOR } from './row.ts';
import type { Source } from './scene.ts';
import { type InWay, passing, passRay, sortInWay } from './shadow.ts';
import { rayLight } from './sources.ts';

/** A headspace with what stands round it. */
export interface Around {
  readonly box: Box;
  readonly inWay: InWay;
  readonly own: Left;
}

/** The way from every patch to the headspaces of a zone. */
export interface Thrown {
  readonly patches: readonly Patch[];
  /** What stands between lamps and patches: film takes light there, no direction. */
  readonly inWay: InWay;
  readonly views: readonly Float64Array[];
  /** Per bag and outer cell: the row that each patch gives at 1 lm/m². */
  readonly rows: readonly (readonly (readonly Float64Array[])[])[];
}

/** Prepares what does not depend on the lamp. */
export function thrownInto(
  patches: readonly Patch[],
  shelfInWay: InWay,
  bags: readonly Around[],
  planes: readonly Vec3[],
): Thrown {
  const veils = shelfInWay.veils.map((veil) => ({ ...veil, ...passing(veil.total) }));
  const inWay = { stops: shelfInWay.stops, veils: sortInWay(veils).veils };
  const rows = bags.map(({ box, inWay: near, own }) =>
    outerCells(box).map((point) => patchRows(point, patches, near, own, planes)),
  );
  return { patches, inWay, views: viewsBetween(patches, inWay, ALL), rows };
}

/** The row that each patch gives at a point at 1 lm/m². */
export function patchRows(
  point: Vec3,
  patches: readonly Patch[],
  inWay: InWay,
  own: Left,
  planes: readonly Vec3[],
): Float64Array[] {
  return patches.map((patch) => {
    const row = new Float64Array(rowLength(planes.length - AXES.length));
    const ray = patchRay(point, patch);
    if (ray === undefined) return row;
    addRay(row, rayLight(...ray.toward, ray.normal), passRay(point, patch.at, inWay, own), planes);
    return row;
  });
}

/** What every patch sends back of a lamp's light after all bounces, lm/m². */
export function sentBack(source: Source, { patches, inWay, views }: Thrown): Float64Array {
  const falling = patches.map(({ at, normal }) => fallingOn(source, at, normal, inWay));
  return exitances(patches, falling, views);
}

/** Per bag and outer cell the row of what a lamp's light gives after all bounces. */
export function thrownBy(source: Source, thrown: Thrown): Float64Array[][] {
  const sent = sentBack(source, thrown);
  return thrown.rows.map((cells) => cells.map((each) => weighted(each, sent)));
}

const NO_FACES = planesOf([]);

/** Illuminance (lx) of a surface at a point, its normal into the room. */
function fallingOn(source: Source, at: Vec3, normal: Vec3, inWay: InWay): number {
  const row = new Float64Array(rowLength(0));
  gather(row, at, { source, inWay, own: ALL, planes: NO_FACES });
  const along = (i: 0 | 1 | 2): number => itemAt(row, VECTOR + i) * normal[i];
  return Math.max(0, along(0) + along(1) + along(2));
}

export function weighted(rows: readonly Float64Array[], weights: Float64Array): Float64Array {
  const sum = new Float64Array(itemAt(rows, 0).length);
  for (const [k, row] of rows.entries()) {
    const weight = weights[k] ?? 0;
    for (let i = 0; i < sum.length; i++) sum[i] = (sum[i] ?? 0) + weight * (row[i] ?? 0);
  }
  return sum;
}

const LAST = CELLS.map((count) => count - 1);

/** The eight outer cells' centres of a headspace: x fastest, then y, then z. */
function outerCells(box: Box): Vec3[] {
  const isOuter = (n: number, axis: 0 | 1 | 2): boolean => n === 0 || n === LAST[axis];
  return gridPoints(box).filter((_, n) => cellOf(n).every((at, axis) => isOuter(at, axis as 0 | 1 | 2)));
}

/** Position of grid point `n` along x, y and z. */
const cellOf = (n: number): Vec3 => [
  n % CELLS[0],
  Math.floor(n / CELLS[0]) % CELLS[1],
  Math.floor(n / CELLS[0] / CELLS[1]),
];

/** Adds to the row of grid point `n` what lies evenly between the outer cells' rows. */
export function addBetween(row: Float64Array, outer: readonly Float64Array[], n: number): void {
  addBetweenAt(row, outer, cellOf(n));
}

/** The same anywhere: `at` counts cells along x, y and z from the first cell's centre. */
export function addBetweenAt(row: Float64Array, outer: readonly Float64Array[], [i0, j0, k0]: Vec3): void {
  const [x, y, z] = [i0 / itemAt(LAST, 0), j0 / itemAt(LAST, 1), k0 / itemAt(LAST, 2)];
  for (const [k, cell] of outer.entries()) {
    const weight = (k & 1 ? x : 1 - x) * (k & 2 ? y : 1 - y) * (k & 4 ? z : 1 - z);
    if (weight === 0) continue;
    for (let i = 0; i < row.length; i++) row[i] = (row[i] ?? 0) + weight * (cell[i] ?? 0);
  }
}
