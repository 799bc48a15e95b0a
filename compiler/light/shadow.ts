/**
 * What stands between a point and a light: blocks and screens stop it, decks and
 * films pass part of it.
 *
 * Always holds: every obstacle is an upright box, so its shadow on a strip is one
 * stretch, found exactly by clipping; a film takes direction from the share it
 * scatters, so what is left is told in the shares of `film.ts`.
 */

import type { Vec3 } from '../plan/plan.ts';
import type { Left, Passed } from './film.ts';
import type { Box } from './headspace.ts';

/** A box a ray may meet, with the shares it passes. */
export interface Obstacle extends Box, Readonly<Passed> {}

/** Lets nothing through, and lets `share` through as it is. */
export const STOPS: Passed = { direct: 0, kept: 0, total: 0 };
export const passing = (share: number): Passed => ({ direct: share, kept: share, total: share });

/** A stretch of a strip (shares of its length) over which the same things stand in the way. */
export interface Stretch extends Left {
  readonly from: number;
  readonly to: number;
}

/** What stands in a light's way: what stops it, and what passes part. */
export interface InWay {
  readonly stops: readonly Obstacle[];
  readonly veils: readonly Obstacle[];
}

/** Sorts obstacles into what stops light and what passes part. */
export function sortInWay(obstacles: readonly Obstacle[]): InWay {
  return {
    stops: obstacles.filter(({ total }) => total === 0),
    veils: obstacles.filter(({ total }) => total > 0),
  };
}

/** What is left of a ray from `p` to `q`. */
export function passRay(p: Vec3, q: Vec3, { stops, veils }: InWay, own: Left): Left {
  if (stops.some((obstacle) => rayMeets(p, q, obstacle))) return DARK;
  let left = own;
  for (const obstacle of veils) if (rayMeets(p, q, obstacle)) left = through(left, obstacle);
  return left;
}

const DARK: Left = { ...STOPS, inner: 0 };

const through = (left: Left, by: Passed): Left => ({
  direct: left.direct * by.direct,
  kept: left.kept * by.kept,
  total: left.total * by.total,
  inner: left.inner * by.total,
});

/** Whether anything may stand between a point and a flat thing with these corners. */
export function touches(p: Vec3, corners: readonly Vec3[], { stops, veils }: InWay): boolean {
  const apartFrom = (box: Box): boolean =>
    ([0, 1, 2] as const).some(
      (i) =>
        (p[i] <= box.lo[i] && corners.every((c) => c[i] <= box.lo[i])) ||
        (p[i] >= box.hi[i] && corners.every((c) => c[i] >= box.hi[i])),
    );
  return !stops.every(apartFrom) || !veils.every(apartFrom);
}

function rayMeets(p: Vec3, q: Vec3, box: Box): boolean {
  let enter = 0;
  let leave = 1;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const step = q[i] - p[i];
    if (Math.abs(step) < 1e-12) {
      if (p[i] < box.lo[i] || p[i] > box.hi[i]) return false;
      continue;
    }
    const a = (box.lo[i] - p[i]) / step;
    const b = (box.hi[i] - p[i]) / step;
    enter = Math.max(enter, Math.min(a, b));
    leave = Math.min(leave, Math.max(a, b));
    if (enter > leave) return false;
  }
  return true;
}

// The shadows on the strip, where they begin and end, and what is left between live in these lists,
// reused for speed: what follows runs for every lamp and point.
const froms: number[] = [];
const tos: number[] = [];
const bys: Passed[] = [];
const cuts: number[] = [];
const spare: { -readonly [K in keyof Stretch]: Stretch[K] }[] = [];
const found: Stretch[] = [];

/**
 * Splits the strip from `a` to `b`, seen from `p`, wherever what stands in the way
 * changes; dark stretches are left out. What stops light is looked at first, for it
 * usually hides the strip wholly or not at all. What is returned is good until the next call.
 */
export function passStrip(p: Vec3, a: Vec3, b: Vec3, { stops, veils }: InWay, own: Left): readonly Stretch[] {
  found.length = 0;
  boundTriangle(p, a, b);
  let count = 0;
  for (let n = 0; n < stops.length; n++) {
    const by = stops[n];
    if (by === undefined || apart(by) || !castShadow(p, a, b, by)) continue;
    keepShadow(count++, by);
    if (hidden(count)) return found;
  }
  for (let n = 0; n < veils.length; n++) {
    const by = veils[n];
    if (by !== undefined && !apart(by) && castShadow(p, a, b, by)) keepShadow(count++, by);
  }
  if (count === 0) keepStretch(own.direct, own.kept, own.total, own.inner, 0, 1);
  else stretchesBetween(count, own);
  return found;
}

function keepStretch(
  direct: number,
  kept: number,
  total: number,
  inner: number,
  from: number,
  to: number,
): void {
  const at = found.length;
  spare[at] ??= { direct: 0.5, kept: 0.5, total: 0.5, inner: 0.5, from: 0.5, to: 0.5 };
  const one = spare[at];
  one.direct = direct;
  one.kept = kept;
  one.total = total;
  one.inner = inner;
  one.from = from;
  one.to = to;
  found.push(one);
}

/** Puts the shadow just cast on the lists. */
function keepShadow(at: number, by: Passed): void {
  froms[at] = shadow[0] ?? 0;
  tos[at] = shadow[1] ?? 0;
  bys[at] = by;
}

/** Whether shadows of what stops light cover the whole strip. */
function hidden(count: number): boolean {
  if ((froms[count - 1] ?? 0) <= 0 && (tos[count - 1] ?? 0) >= 1) return true;
  let reached = 0;
  for (let step = 0; step < count && reached < 1; step++) {
    let next = reached;
    for (let n = 0; n < count; n++)
      if ((froms[n] ?? 0) <= reached + 1e-12 && (tos[n] ?? 0) > next) next = tos[n] ?? 0;
    if (next === reached) return false;
    reached = next;
  }
  return reached >= 1;
}

function stretchesBetween(count: number, own: Left): void {
  const ends = sortCuts(count);
  for (let i = 1; i < ends; i++) {
    const [from, to] = [cuts[i - 1] ?? 0, cuts[i] ?? 0];
    if (to - from < 1e-9) continue;
    const middle = (from + to) / 2;
    let { direct, kept, total, inner } = own;
    for (let n = 0; n < count; n++) {
      if (middle < (froms[n] ?? 0) || middle > (tos[n] ?? 0)) continue;
      const by = bys[n] ?? STOPS;
      direct *= by.direct;
      kept *= by.kept;
      total *= by.total;
      inner *= by.total;
    }
    if (total > 0) keepStretch(direct, kept, total, inner, from, to);
  }
}

/** Puts both ends of the strip and of all shadows in order; returns how many there are. */
function sortCuts(count: number): number {
  let length = 0;
  const put = (value: number): void => {
    let at = length++;
    for (; at > 0 && (cuts[at - 1] ?? 0) > value; at--) cuts[at] = cuts[at - 1] ?? 0;
    cuts[at] = value;
  };
  put(0);
  put(1);
  for (let n = 0; n < count; n++) {
    put(froms[n] ?? 0);
    put(tos[n] ?? 0);
  }
  return length;
}

// The box round the triangle between the point and the strip.
const low = new Float64Array(3);
const high = new Float64Array(3);

function boundTriangle(p: Vec3, a: Vec3, b: Vec3): void {
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    low[i] = Math.min(p[i], a[i], b[i]);
    high[i] = Math.max(p[i], a[i], b[i]);
  }
}

/** Whether the triangle's own box misses the obstacle: the usual case, told cheaply. */
const apart = ({ lo, hi }: Box): boolean =>
  (high[0] ?? 0) < lo[0] ||
  (low[0] ?? 0) > hi[0] ||
  (high[1] ?? 0) < lo[1] ||
  (low[1] ?? 0) > hi[1] ||
  (high[2] ?? 0) < lo[2] ||
  (low[2] ?? 0) > hi[2];

// A point of the triangle is p + t·(a − p) + w·(b − a) with 0 ≤ w ≤ t ≤ 1; w/t is the share along
// the strip. The polygon left by the box's six sides lives in these two arrays, reused for speed.
const MOST = 16;
let ts = new Float64Array(MOST);
let ws = new Float64Array(MOST);
let nextTs = new Float64Array(MOST);
let nextWs = new Float64Array(MOST);
/** Where the shadow just cast begins and ends. */
const shadow = new Float64Array(2);

/** Finds the stretch of the strip hidden from `p` by the box; false when there is none. */
function castShadow(p: Vec3, a: Vec3, b: Vec3, box: Box): boolean {
  ts[0] = 0;
  ws[0] = 0;
  ts[1] = 1;
  ws[1] = 0;
  ts[2] = 1;
  ws[2] = 1;
  let count = 3;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const perT = a[i] - p[i];
    const perW = b[i] - a[i];
    // Most boxes hold the triangle's whole range on some axis, or miss it on another.
    if (outside(p[i], a[i], b[i], box.lo[i])) count = clip(count, p[i] - box.lo[i], perT, perW);
    if (outside(-p[i], -a[i], -b[i], -box.hi[i])) count = clip(count, box.hi[i] - p[i], -perT, -perW);
    if (count === 0) return false;
  }
  let from = 1;
  let to = 0;
  for (let n = 0; n < count; n++) {
    const t = ts[n] ?? 0;
    if (t < 1e-12) continue;
    const share = (ws[n] ?? 0) / t;
    if (share < from) from = share;
    if (share > to) to = share;
  }
  shadow[0] = from;
  shadow[1] = to;
  return to > from;
}

/** Whether some corner of the triangle lies below the limit, so that the clip takes something away. */
const outside = (p: number, a: number, b: number, limit: number): boolean =>
  p < limit || a < limit || b < limit;

/** Keeps the part of the polygon where base + t·perT + w·perW ≥ 0; returns its number of corners. */
function clip(count: number, base: number, perT: number, perW: number): number {
  if (count === 0) return 0;
  let kept = 0;
  let t0 = ts[count - 1] ?? 0;
  let w0 = ws[count - 1] ?? 0;
  let before = base + t0 * perT + w0 * perW;
  for (let n = 0; n < count; n++) {
    const t1 = ts[n] ?? 0;
    const w1 = ws[n] ?? 0;
    const here = base + t1 * perT + w1 * perW;
    if (before < 0 !== here < 0) {
      const share = before / (before - here);
      nextTs[kept] = t0 + share * (t1 - t0);
      nextWs[kept++] = w0 + share * (w1 - w0);
    }
    if (here >= 0) {
      nextTs[kept] = t1;
      nextWs[kept++] = w1;
    }
    t0 = t1;
    w0 = w1;
    before = here;
  }
  swapBuffers();
  return kept;
}

function swapBuffers(): void {
  const spareTs = ts;
  const spareWs = ws;
  ts = nextTs;
  ws = nextWs;
  nextTs = spareTs;
  nextWs = spareWs;
}
