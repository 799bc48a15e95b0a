/**
 * What one lamp gives at one point, through everything in its way, added to a row.
 *
 * Always holds: strips and free panels are exact; a shaded panel is cut into strips, each
 * shaded exactly, and a lamp with a photometric file into pieces short for their
 * distance, so that halving a lamp changes nothing that matters.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import type { Left } from './film.ts';
import { intensityAt } from './photometry.ts';
import { addBody, addPart, addRay, noFlow, setFlow } from './row.ts';
import type { Measured, Panel, Source } from './scene.ts';
import { type InWay, passRay, passStrip, touches } from './shadow.ts';
import { polygonLight, rayLight, type Spot, type Strip, spotLight } from './sources.ts';
import {
  noEnd,
  type PlanesSeen,
  partBefore,
  planesSeen,
  type Sight,
  type StretchEnd,
  setBetween,
  setEnd,
  sightOf,
} from './strip-sight.ts';

/** Everything that does not change from point to point. */
export interface Gathering {
  readonly source: Source;
  readonly inWay: InWay;
  /** What the bag's own film leaves. */
  readonly own: Left;
  /** Of the row (`planesOf`). */
  readonly planes: readonly Vec3[];
}

/** Adds what the source gives at `p` to `row`. */
export function gather(row: Float64Array, p: Vec3, what: Gathering): void {
  const { source } = what;
  if (source.kind === 'strip') gatherStrip(row, p, source.strip, source.to, what);
  else if (source.kind === 'spot') gatherSpot(row, p, source.spot, what);
  else if (source.kind === 'panel') gatherPanel(row, p, source.panel, what);
  else gatherMeasured(row, p, source.measured, what);
}

function gatherSpot(row: Float64Array, p: Vec3, spot: Spot, what: Gathering): void {
  const light = spotLight(p, spot);
  if (light.scalar === 0) return;
  addRay(row, light, passRay(p, spot.at, what.inWay, what.own), what.planes);
}

// Both ends of the stretch looked at, and what it gives: used again for every one.
let fromEnd = noEnd();
let toEnd = noEnd();
const wholeFlow = noFlow();
const partFlow = noFlow();

function gatherStrip(row: Float64Array, p: Vec3, strip: Strip, to: Vec3, what: Gathering): void {
  const sight = sightOf(p, strip);
  if (sight === undefined) return;
  const seen = planesSeen(sight, what.planes);
  let reached = Number.NaN;
  for (const stretch of passStrip(p, strip.from, to, what.inWay, what.own)) {
    const at = stretch.from * strip.length - sight.foot;
    // Most stretches begin where another ended.
    if (reached === at) [fromEnd, toEnd] = [toEnd, fromEnd];
    else setEnd(fromEnd, sight, at);
    reached = stretch.to * strip.length - sight.foot;
    setEnd(toEnd, sight, reached);
    addStretch(row, sight, fromEnd, toEnd, stretch, seen, what.planes);
  }
}

function addStretch(
  row: Float64Array,
  sight: Sight,
  from: StretchEnd,
  to: StretchEnd,
  left: Left,
  seen: PlanesSeen,
  planes: readonly Vec3[],
): void {
  const whole = setBetween(wholeFlow, sight, from, to);
  addBody(row, whole, left, planes);
  for (let k = 0; k < planes.length; k++) {
    addPart(row, k, planes, partBefore(sight, from, to, seen, k, whole), whole, left.direct);
  }
}

function gatherPanel(row: Float64Array, p: Vec3, panel: Panel, what: Gathering): void {
  if (ahead(p, panel) <= 1e-9) return;
  if (!touches(p, panel.corners, what.inWay)) addFreePanel(row, p, panel, what);
  else for (const { strip, to } of slicesOf(p, panel)) gatherStrip(row, p, strip, to, what);
}

const ahead = (p: Vec3, { corners: [c], axis }: Panel): number =>
  (p[0] - c[0]) * axis[0] + (p[1] - c[1]) * axis[1] + (p[2] - c[2]) * axis[2];

function addFreePanel(row: Float64Array, p: Vec3, panel: Panel, what: Gathering): void {
  const whole = setFlow(wholeFlow, polygonLight(p, panel.corners, panel.exitance));
  addBody(row, whole, what.own, what.planes);
  for (const [k, plane] of what.planes.entries()) {
    const seen = clipToPlane(p, panel.corners, plane);
    const part = seen.length < 3 ? undefined : setFlow(partFlow, polygonLight(p, seen, panel.exitance));
    addPart(row, k, what.planes, part, whole, what.own.direct);
  }
}

/** The part of a polygon before the plane through `p` with this normal. */
function clipToPlane(p: Vec3, corners: readonly Vec3[], normal: Vec3): Vec3[] {
  const kept: Vec3[] = [];
  const height = (c: Vec3): number =>
    normal[0] * (c[0] - p[0]) + normal[1] * (c[1] - p[1]) + normal[2] * (c[2] - p[2]);
  for (let i = 0; i < corners.length; i++) {
    const [a, b] = [itemAt(corners, i), itemAt(corners, (i + 1) % corners.length)];
    const [ha, hb] = [height(a), height(b)];
    if (ha >= 0) kept.push(a);
    if (ha < 0 !== hb < 0) kept.push(pointBetween(a, b, ha / (ha - hb)));
  }
  return kept;
}

/** Strips that a panel is cut into: never wider than this share of it, nor than this share of their distance. */
const SLICE_OF_PANEL = 1 / 24;
const SLICE_OF_DISTANCE = 1 / 5;
/** Least width of a slice and least length of a piece, metres. */
const LEAST = 1e-3;

interface Slice {
  readonly strip: Strip;
  readonly to: Vec3;
}

/** A panel as strips that run its longer way, finer where they are near. */
function slicesOf(p: Vec3, { corners: [a, b, c, d], axis, exitance }: Panel): Slice[] {
  const lengthwise = distanceOf(a, b) >= distanceOf(a, d);
  // From edge to edge: `start` and `end` run along the two short sides.
  const [start, end] = lengthwise ? [[a, d] as const, [b, c] as const] : [[a, b] as const, [d, c] as const];
  const breadth = distanceOf(start[0], start[1]);
  const sideOf = (share: number): readonly [Vec3, Vec3] => [
    pointBetween(start[0], start[1], share),
    pointBetween(end[0], end[1], share),
  ];
  const distance = (share: number): number => distanceToSegment(p, ...sideOf(share));
  return cutsOf(breadth, SLICE_OF_PANEL, SLICE_OF_DISTANCE, distance).map(([low, high]) => {
    const [from, to] = sideOf((low + high) / 2);
    const length = distanceOf(from, to);
    const perMetre = (exitance * breadth * (high - low)) / Math.PI;
    return { strip: { from, along: unitFrom(from, to, length), length, facing: axis, perMetre }, to };
  });
}

/** Cuts 0 to 1 of something `size` metres long into parts no larger than `most`, nor than `share` of their distance. */
function cutsOf(
  size: number,
  most: number,
  share: number,
  distance: (at: number) => number,
): [low: number, high: number][] {
  const parts: [number, number][] = [];
  const cut = (low: number, high: number): void => {
    const width = (high - low) * size;
    const fine = high - low <= most + 1e-12 && width <= share * distance((low + high) / 2);
    if (fine || width <= LEAST) {
      parts.push([low, high]);
      return;
    }
    const middle = (low + high) / 2;
    cut(low, middle);
    cut(middle, high);
  };
  const first = Math.ceil(1 / most - 1e-9);
  for (let i = 0; i < first; i++) cut(i / first, (i + 1) / first);
  return parts;
}

function gatherMeasured(row: Float64Array, p: Vec3, measured: Measured, what: Gathering): void {
  const { drawn } = measured;
  if (drawn.kind === 'spot') {
    const left = passRay(p, drawn.spot.at, what.inWay, what.own);
    addPiece(row, p, drawn.spot.at, 1, measured, what, left);
    return;
  }
  const lines =
    drawn.kind === 'strip' ? [{ from: drawn.strip.from, to: drawn.to, light: 1 }] : linesOf(p, drawn.panel);
  const sum = lines.reduce((total, { light }) => total + light, 0);
  for (const { from, to, light } of lines) measuredStrip(row, p, from, to, light / sum, measured, what);
}

/** The slices of a panel as lines that give their parts of its light. */
const linesOf = (p: Vec3, panel: Panel) =>
  slicesOf(p, panel).map(({ strip, to }) => ({
    from: strip.from,
    to,
    light: strip.perMetre * strip.length,
  }));

/** Pieces of a measured strip: never longer than this share of their distance. */
const PIECE_OF_DISTANCE = 1 / 3;
/** Gauss–Legendre: three places in a piece and their weights. */
const GAUSS = [
  [0.5 - Math.sqrt(0.15), 5 / 18],
  [0.5, 8 / 18],
  [0.5 + Math.sqrt(0.15), 5 / 18],
] as const;

/** Adds a strip of a measured lamp that gives `share` of its light. */
function measuredStrip(
  row: Float64Array,
  p: Vec3,
  from: Vec3,
  to: Vec3,
  share: number,
  measured: Measured,
  what: Gathering,
): void {
  const length = distanceOf(from, to);
  for (const stretch of passStrip(p, from, to, what.inWay, what.own)) {
    const [a, b] = [pointBetween(from, to, stretch.from), pointBetween(from, to, stretch.to)];
    const part = stretch.to - stretch.from;
    const distance = (at: number): number => distanceOf(p, pointBetween(a, b, at));
    for (const [low, high] of cutsOf(length * part, 1, PIECE_OF_DISTANCE, distance)) {
      for (const [place, weight] of GAUSS) {
        const at = pointBetween(a, b, low + (high - low) * place);
        addPiece(row, p, at, share * part * (high - low) * weight, measured, what, stretch);
      }
    }
  }
}

/** Adds one point of a measured lamp that gives `share` of its light; `left` is what stands between leaves. */
function addPiece(
  row: Float64Array,
  p: Vec3,
  at: Vec3,
  share: number,
  { photometry, scale, frame: [axis, zero, third] }: Measured,
  what: Gathering,
  left: Left,
): void {
  const [x, y, z] = [p[0] - at[0], p[1] - at[1], p[2] - at[2]];
  const r = Math.sqrt(x * x + y * y + z * z);
  const along = (unit: Vec3): number => (x * unit[0] + y * unit[1] + z * unit[2]) / r;
  const vertical = (Math.acos(Math.max(-1, Math.min(1, along(axis)))) * 180) / Math.PI;
  const horizontal = (Math.atan2(along(third), along(zero)) * 180) / Math.PI;
  const candela = share * scale * intensityAt(photometry, vertical, horizontal);
  if (candela === 0) return;
  addRay(row, rayLight(-x / r, -y / r, -z / r, candela / (r * r)), left, what.planes);
}

const distanceOf = (a: Vec3, b: Vec3): number => Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);

const pointBetween = (a: Vec3, b: Vec3, share: number): Vec3 => [
  a[0] + share * (b[0] - a[0]),
  a[1] + share * (b[1] - a[1]),
  a[2] + share * (b[2] - a[2]),
];

const unitFrom = (a: Vec3, b: Vec3, length: number): Vec3 => [
  (b[0] - a[0]) / length,
  (b[1] - a[1]) / length,
  (b[2] - a[2]) / length,
];

function distanceToSegment(p: Vec3, a: Vec3, b: Vec3): number {
  const squared = distanceOf(a, b) ** 2;
  const dot = (p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1]) + (p[2] - a[2]) * (b[2] - a[2]);
  const share = squared > 0 ? Math.max(0, Math.min(1, dot / squared)) : 0;
  return distanceOf(p, pointBetween(a, b, share));
}
