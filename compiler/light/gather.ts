/**
 * What one lamp gives at one point, through everything in its way.
 *
 * Always holds: the result is a row of numbers (lx): the illumination vector toward
 * the light, the scalar illuminance, the scattered part that every face gets, then
 * the illuminance of upright faces, two and two opposite; scattered light has lost its direction and adds its scalar
 * illuminance to every face and nothing to the vector.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import { intensityAt } from './photometry.ts';
import type { Measured, Panel, Source } from './scene.ts';
import { type InWay, type Passed, passRay, passStrip } from './shadow.ts';
import {
  type Light,
  polygonLight,
  rayLight,
  type Spot,
  type Strip,
  spotLight,
  stripLight,
} from './sources.ts';

/** Where the vector, the scalar, the scattered part and the first face stand in a row. */
export const VECTOR = 0;
export const SCALAR = 3;
export const SCATTER = 4;
export const FACES = 5;

/** Outward normals (x, y) of one of each pair of opposite upright faces. */
export type Normals = readonly (readonly [number, number])[];

/** Length of a row for so many pairs of faces. */
export const rowLength = (pairs: number): number => FACES + 2 * pairs;

/** Everything that does not change from point to point. */
export interface Gathering {
  readonly source: Source;
  readonly inWay: InWay;
  /** What the bag's own film leaves. */
  readonly own: Passed;
  readonly normals: Normals;
}

/** Adds what the source gives at `p` to `row`. */
export function gather(row: Float64Array, p: Vec3, what: Gathering): void {
  const { source } = what;
  if (source.kind === 'strip') gatherStrip(row, p, source.strip, source.to, what);
  else if (source.kind === 'spot') gatherSpot(row, p, source.spot, what);
  else if (source.kind === 'panel') gatherPanel(row, p, source.panel, what);
  else gatherMeasured(row, p, source.measured, what);
}

function gatherMeasured(row: Float64Array, p: Vec3, measured: Measured, what: Gathering): void {
  const [axis, zero, third] = measured.frame;
  for (const at of measured.pieces) {
    const [x, y, z] = [p[0] - at[0], p[1] - at[1], p[2] - at[2]];
    const r = Math.sqrt(x * x + y * y + z * z);
    const along = (unit: Vec3): number => (x * unit[0] + y * unit[1] + z * unit[2]) / r;
    const vertical = (Math.acos(Math.max(-1, Math.min(1, along(axis)))) * 180) / Math.PI;
    const horizontal = (Math.atan2(along(third), along(zero)) * 180) / Math.PI;
    const candela = measured.share * intensityAt(measured.photometry, vertical, horizontal);
    if (candela === 0) continue;
    const left = passRay(p, at, what.inWay, what.own);
    addRay(row, rayLight(-x / r, -y / r, -z / r, candela / (r * r)), left, what.normals);
  }
}

function gatherSpot(row: Float64Array, p: Vec3, spot: Spot, what: Gathering): void {
  const light = spotLight(p, spot);
  if (light.scalar === 0) return;
  addRay(row, light, passRay(p, spot.at, what.inWay, what.own), what.normals);
}

/** Adds light that arrives from one direction only. */
export function addRay(row: Float64Array, light: Light, left: Passed, normals: Normals): void {
  if (left.total === 0) return;
  addBody(row, light, left, normals.length);
  for (let k = 0; k < normals.length; k++) {
    const onFace = left.direct * (itemAt(normals, k)[0] * light.x + itemAt(normals, k)[1] * light.y);
    row[FACES + 2 * k + (onFace > 0 ? 0 : 1)]! += Math.abs(onFace);
  }
}

/** Adds vector and scalar, and what the film scattered to every face. */
function addBody(row: Float64Array, light: Light, left: Passed, pairs: number): void {
  row[VECTOR] = itemAt(row, VECTOR) + left.direct * light.x;
  row[VECTOR + 1] = itemAt(row, VECTOR + 1) + left.direct * light.y;
  row[VECTOR + 2] = itemAt(row, VECTOR + 2) + left.direct * light.z;
  row[SCALAR] = itemAt(row, SCALAR) + left.total * light.scalar;
  const scattered = (left.total - left.direct) * light.scalar;
  row[SCATTER] = itemAt(row, SCATTER) + scattered;
  for (let i = FACES; i < FACES + 2 * pairs; i++) row[i] = itemAt(row, i) + scattered;
}

function gatherStrip(row: Float64Array, p: Vec3, strip: Strip, to: Vec3, what: Gathering): void {
  const ahead =
    (p[0] - strip.from[0]) * strip.facing[0] +
    (p[1] - strip.from[1]) * strip.facing[1] +
    (p[2] - strip.from[2]) * strip.facing[2];
  if (ahead <= 1e-9) return;
  for (const stretch of passStrip(p, strip.from, to, what.inWay, what.own)) {
    const [a, b] = [stretch.from * strip.length, stretch.to * strip.length];
    const light = stripLight(p, strip, a, b);
    addBody(row, light, stretch, what.normals.length);
    for (let k = 0; k < what.normals.length; k++) {
      addStripFaces(row, FACES + 2 * k, p, strip, a, b, itemAt(what.normals, k), light, stretch.direct);
    }
  }
}

/** Adds what two opposite upright faces get from the strip between `a` and `b`, cut where it passes their plane. */
function addStripFaces(
  row: Float64Array,
  at: number,
  p: Vec3,
  strip: Strip,
  a: number,
  b: number,
  normal: readonly [number, number],
  whole: Light,
  direct: number,
): void {
  const net = normal[0] * whole.x + normal[1] * whole.y;
  const slope = normal[0] * strip.along[0] + normal[1] * strip.along[1];
  const base = normal[0] * (strip.from[0] - p[0]) + normal[1] * (strip.from[1] - p[1]);
  const [first, last] = [base + a * slope, base + b * slope];
  if (first * last >= 0) {
    row[at + (first + last > 0 ? 0 : 1)]! += direct * Math.abs(net);
    return;
  }
  const cut = -base / slope;
  const part = first > 0 ? stripLight(p, strip, a, cut) : stripLight(p, strip, cut, b);
  const front = normal[0] * part.x + normal[1] * part.y;
  row[at] = itemAt(row, at) + direct * front;
  row[at + 1] = itemAt(row, at + 1) + direct * (front - net);
}

/** How often a panel is halved both ways where something shades part of it. */
const PANEL_DEPTH = 4;

function gatherPanel(row: Float64Array, p: Vec3, panel: Panel, what: Gathering): void {
  const [c] = panel.corners;
  const ahead = (p[0] - c[0]) * panel.axis[0] + (p[1] - c[1]) * panel.axis[1] + (p[2] - c[2]) * panel.axis[2];
  if (ahead <= 1e-9) return;
  gatherCell(row, p, panel.corners, panel.exitance, what, PANEL_DEPTH);
}

type Quad = readonly [Vec3, Vec3, Vec3, Vec3];

/** Adds one cell of a panel: whole where its corners and middle see the same, else in quarters. */
function gatherCell(
  row: Float64Array,
  p: Vec3,
  cell: Quad,
  exitance: number,
  what: Gathering,
  depth: number,
) {
  const middle = between(cell[0], cell[2]);
  const left = passRay(p, middle, what.inWay, what.own);
  const even = cell.every((corner) => {
    const there = passRay(p, corner, what.inWay, what.own);
    return there.total === left.total && there.direct === left.direct;
  });
  // A cell wide enough to hide a thin obstacle between its corners is looked at once more.
  if (
    (even && depth < PANEL_DEPTH) ||
    depth === 0 ||
    what.inWay.stops.length + what.inWay.veils.length === 0
  ) {
    return addPolygon(row, p, cell, exitance, left, what.normals);
  }
  const [a, b, c, d] = cell;
  const [ab, bc, cd, da] = [between(a, b), between(b, c), between(c, d), between(d, a)];
  gatherCell(row, p, [a, ab, middle, da], exitance, what, depth - 1);
  gatherCell(row, p, [ab, b, bc, middle], exitance, what, depth - 1);
  gatherCell(row, p, [middle, bc, c, cd], exitance, what, depth - 1);
  gatherCell(row, p, [da, middle, cd, d], exitance, what, depth - 1);
}

const between = (a: Vec3, b: Vec3): Vec3 => [(a[0] + b[0]) / 2, (a[1] + b[1]) / 2, (a[2] + b[2]) / 2];

function addPolygon(
  row: Float64Array,
  p: Vec3,
  corners: readonly Vec3[],
  exitance: number,
  left: Passed,
  normals: Normals,
): void {
  if (left.total === 0) return;
  const light = polygonLight(p, corners, exitance);
  addBody(row, light, left, normals.length);
  for (let k = 0; k < normals.length; k++) {
    const normal = itemAt(normals, k);
    const net = normal[0] * light.x + normal[1] * light.y;
    const seen = clipToFace(p, corners, normal);
    const front = seen.length < 3 ? 0 : faceOf(polygonLight(p, seen, exitance), normal);
    row[FACES + 2 * k] = itemAt(row, FACES + 2 * k) + left.direct * front;
    row[FACES + 2 * k + 1] = itemAt(row, FACES + 2 * k + 1) + left.direct * Math.max(0, front - net);
  }
}

const faceOf = (light: Light, normal: readonly [number, number]): number =>
  Math.max(0, normal[0] * light.x + normal[1] * light.y);

/** The part of a polygon before the upright face at `p` with this normal. */
function clipToFace(p: Vec3, corners: readonly Vec3[], normal: readonly [number, number]): Vec3[] {
  const kept: Vec3[] = [];
  const height = (c: Vec3): number => normal[0] * (c[0] - p[0]) + normal[1] * (c[1] - p[1]);
  for (let i = 0; i < corners.length; i++) {
    const [a, b] = [itemAt(corners, i), itemAt(corners, (i + 1) % corners.length)];
    const [ha, hb] = [height(a), height(b)];
    if (ha >= 0) kept.push(a);
    if (ha < 0 !== hb < 0) {
      const t = ha / (ha - hb);
      kept.push([a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1]), a[2] + t * (b[2] - a[2])]);
    }
  }
  return kept;
}
