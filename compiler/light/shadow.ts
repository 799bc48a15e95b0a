/**
 * What stands between a point and a light: blocks and screens stop it, decks and
 * films pass part of it.
 *
 * Always holds: every obstacle is an upright box, so its shadow on a strip is one
 * stretch, found exactly by clipping; a film takes direction from the share it
 * scatters, so what is left is told as `direct` and `total`.
 */

import type { Vec3 } from '../plan/resolved.ts';
import type { Box } from './headspace.ts';

/** A box a ray may meet, with the share it passes: keeping its direction, and altogether. */
export interface Obstacle extends Box {
  readonly direct: number;
  readonly total: number;
}

/** What is left of the light after everything in its way. */
export interface Passed {
  direct: number;
  total: number;
}

/** A stretch of a strip (shares of its length) over which the same things stand in the way. */
export interface Stretch extends Passed {
  readonly from: number;
  readonly to: number;
}

/** What is left of a ray from `p` to `q`. */
export function passRay(p: Vec3, q: Vec3, obstacles: readonly Obstacle[], own: Passed): Passed {
  let { direct, total } = own;
  for (const obstacle of obstacles) {
    if (!rayMeets(p, q, obstacle)) continue;
    direct *= obstacle.direct;
    total *= obstacle.total;
    if (total === 0) return { direct: 0, total: 0 };
  }
  return { direct, total };
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

/** Splits the strip from `a` to `b`, seen from `p`, wherever what stands in the way changes; dark stretches are left out. */
export function passStrip(p: Vec3, a: Vec3, b: Vec3, obstacles: readonly Obstacle[], own: Passed): Stretch[] {
  const shadows: { from: number; to: number; by: Obstacle }[] = [];
  for (const by of obstacles) {
    if (apart(p, a, b, by) || !castShadow(p, a, b, by)) continue;
    if (by.total === 0 && shadowFrom <= 0 && shadowTo >= 1) return [];
    shadows.push({ from: shadowFrom, to: shadowTo, by });
  }
  if (shadows.length === 0) return [{ from: 0, to: 1, direct: own.direct, total: own.total }];
  const cuts = [0, 1, ...shadows.flatMap((shadow) => [shadow.from, shadow.to])].sort((x, y) => x - y);
  const stretches: Stretch[] = [];
  for (let i = 1; i < cuts.length; i++) {
    const [from, to] = [cuts[i - 1]!, cuts[i]!];
    if (to - from < 1e-9) continue;
    const middle = (from + to) / 2;
    const left = { direct: own.direct, total: own.total };
    for (const shadow of shadows) {
      if (middle < shadow.from || middle > shadow.to) continue;
      left.direct *= shadow.by.direct;
      left.total *= shadow.by.total;
    }
    if (left.total > 0) stretches.push({ from, to, direct: left.direct, total: left.total });
  }
  return stretches;
}

/** Whether the triangle's own box misses the obstacle: the usual case, told cheaply. */
function apart(p: Vec3, a: Vec3, b: Vec3, box: Box): boolean {
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    if (p[i] < box.lo[i] && a[i] < box.lo[i] && b[i] < box.lo[i]) return true;
    if (p[i] > box.hi[i] && a[i] > box.hi[i] && b[i] > box.hi[i]) return true;
  }
  return false;
}

// A point of the triangle is p + t·(a − p) + w·(b − a) with 0 ≤ w ≤ t ≤ 1; w/t is the share along
// the strip. The polygon left by the box's six sides lives in these two arrays, reused for speed.
const MOST = 16;
let ts = new Float64Array(MOST);
let ws = new Float64Array(MOST);
let nextTs = new Float64Array(MOST);
let nextWs = new Float64Array(MOST);
let shadowFrom = 0;
let shadowTo = 0;

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
    const [perT, perW] = [a[i] - p[i], b[i] - a[i]];
    count = clip(count, p[i] - box.lo[i], perT, perW);
    count = clip(count, box.hi[i] - p[i], -perT, -perW);
    if (count === 0) return false;
  }
  shadowFrom = 1;
  shadowTo = 0;
  for (let n = 0; n < count; n++) {
    const t = ts[n]!;
    if (t < 1e-12) continue;
    const share = ws[n]! / t;
    if (share < shadowFrom) shadowFrom = share;
    if (share > shadowTo) shadowTo = share;
  }
  return shadowTo > shadowFrom;
}

/** Keeps the part of the polygon where base + t·perT + w·perW ≥ 0; returns its number of corners. */
function clip(count: number, base: number, perT: number, perW: number): number {
  let kept = 0;
  for (let n = 0; n < count; n++) {
    const m = n + 1 === count ? 0 : n + 1;
    const [t0, w0, t1, w1] = [ts[n]!, ws[n]!, ts[m]!, ws[m]!];
    const here = base + t0 * perT + w0 * perW;
    const there = base + t1 * perT + w1 * perW;
    if (here >= 0) {
      nextTs[kept] = t0;
      nextWs[kept++] = w0;
    }
    if (here < 0 !== there < 0) {
      const share = here / (here - there);
      nextTs[kept] = t0 + share * (t1 - t0);
      nextWs[kept++] = w0 + share * (w1 - w0);
    }
  }
  [ts, nextTs] = [nextTs, ts];
  [ws, nextWs] = [nextWs, ws];
  return kept;
}
