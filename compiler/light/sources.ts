/**
 * Closed forms for what a small surface, a strip, a flat panel and a disc give at a point.
 *
 * Always holds: lengths are metres; a result is the illumination vector *toward* the
 * light (the CIE arrow, e-ILV 17-29-036, points the other way, along the travel of the
 * light) and the scalar illuminance, the quarter form of CIE e-ILV 17-21-066; several
 * sources add as vectors and as scalars; nothing here knows about shade.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';

/** Illumination vector toward the light (lx) and scalar illuminance (lx). */
export interface Light {
  x: number;
  y: number;
  z: number;
  scalar: number;
}

/** A source so small that it may be taken as a point: `peak` candela along `axis`, falling as cos^exponent. */
export interface Spot {
  readonly at: Vec3;
  /** Unit vector, the way it shines. */
  readonly axis: Vec3;
  readonly peak: number;
  readonly exponent: number;
}

/** A narrow flat Lambertian strip. */
export interface Strip {
  readonly from: Vec3;
  /** Unit vector from one end to the other. */
  readonly along: Vec3;
  readonly length: number;
  /** Unit vector at right angles to `along`, the way it shines. */
  readonly facing: Vec3;
  /** Candela per metre straight ahead: lumens per metre over pi. */
  readonly perMetre: number;
}

/** No light. */
export const darkness = (): Light => ({ x: 0, y: 0, z: 0, scalar: 0 });

/** Adds `share` of `more` to `sum` in place. */
export function addLight(sum: Light, more: Light, share = 1): void {
  sum.x += more.x * share;
  sum.y += more.y * share;
  sum.z += more.z * share;
  sum.scalar += more.scalar * share;
}

/**
 * The exponent m of a beam I0·cos^m whose intensity is half at `halfAngle` degrees off axis:
 * m = -ln 2 / ln cos (optical-wireless literature, e.g. Kahn & Barry 1997). 60° gives 1, a flat source.
 */
export function beamExponent(halfAngle: number): number {
  if (halfAngle >= 90) return 0;
  return -Math.LN2 / Math.log(Math.cos((halfAngle * Math.PI) / 180));
}

/** Peak intensity (cd) of a cos^m beam of `flux` lumens: flux·(m+1)/2pi. */
export const beamPeak = (flux: number, exponent: number): number => (flux * (exponent + 1)) / (2 * Math.PI);

/** What a point source gives: E = I/r² along the ray, scalar a quarter of it. */
export function spotLight(p: Vec3, spot: Spot): Light {
  const dx = spot.at[0] - p[0];
  const dy = spot.at[1] - p[1];
  const dz = spot.at[2] - p[2];
  const r = Math.sqrt(dx * dx + dy * dy + dz * dz);
  const cosine = -(dx * spot.axis[0] + dy * spot.axis[1] + dz * spot.axis[2]) / r;
  if (!(cosine > 0)) return darkness();
  const fall = spot.exponent === 1 ? cosine : cosine ** spot.exponent;
  return rayLight(dx / r, dy / r, dz / r, (spot.peak * fall) / (r * r));
}

/** Light of normal illuminance `normal` (lx) arriving from the unit direction x, y, z. */
export function rayLight(x: number, y: number, z: number, normal: number): Light {
  return { x: normal * x, y: normal * y, z: normal * z, scalar: normal / 4 };
}

/**
 * What the part of a strip between `a` and `b` metres from its first end gives.
 * The line-source form (Offshore Electrical Engineering Manual, ch. 14), with the
 * component along the strip and the scalar derived the same way. Zero behind the strip.
 */
export function stripLight(p: Vec3, strip: Strip, a = 0, b = strip.length): Light {
  const [rx, ry, rz] = [p[0] - strip.from[0], p[1] - strip.from[1], p[2] - strip.from[2]];
  const [tx, ty, tz] = strip.along;
  const [fx, fy, fz] = strip.facing;
  const foot = rx * tx + ry * ty + rz * tz;
  const ahead = rx * fx + ry * fy + rz * fz;
  if (!(ahead > 1e-9)) return darkness();
  const squared = Math.max(rx * rx + ry * ry + rz * rz - foot * foot, ahead * ahead);
  const d = Math.sqrt(squared);
  const from = a - foot;
  const to = b - foot;
  const fromSquared = squared + from * from;
  const toSquared = squared + to * to;
  const angle = Math.atan2(d * (to - from), squared + from * to);
  const broad = (to / toSquared - from / fromSquared) / (2 * squared) + angle / (2 * squared * d);
  const across = -strip.perMetre * ahead * broad;
  const length = (strip.perMetre * ahead * (1 / fromSquared - 1 / toSquared)) / 2;
  // The foot of the perpendicular seen from the point is -(r - foot·along).
  return {
    x: across * (rx - foot * tx) + length * tx,
    y: across * (ry - foot * ty) + length * ty,
    z: across * (rz - foot * tz) + length * tz,
    scalar:
      ((strip.perMetre * ahead) / (4 * squared)) *
      (to / Math.sqrt(toSquared) - from / Math.sqrt(fromSquared)),
  };
}

/**
 * What a flat convex Lambertian polygon of `exitance` lm/m² gives at a point before it
 * (the caller sees to that): Lambert's contour sum for the vector, the solid angle
 * (Van Oosterom & Strackee 1983) for the scalar.
 */
export function polygonLight(p: Vec3, corners: readonly Vec3[], exitance: number): Light {
  const rays = corners.map((corner) => unitRay(p, corner));
  const sum: [number, number, number] = [0, 0, 0];
  for (let i = 0; i < rays.length; i++) addEdge(sum, itemAt(rays, i), itemAt(rays, (i + 1) % rays.length));
  const toward = rays.reduce((total, ray) => total + ray[0] * sum[0] + ray[1] * sum[1] + ray[2] * sum[2], 0);
  const half = (exitance / (2 * Math.PI)) * (toward < 0 ? -1 : 1);
  const scalar = (exitance * solidAngle(rays)) / (4 * Math.PI);
  return { x: half * sum[0], y: half * sum[1], z: half * sum[2], scalar };
}

/** What a Lambertian disc of radius `radius` and `exitance` lm/m² gives at `height` on its axis, along the axis. */
export function discOnAxis(
  radius: number,
  height: number,
  exitance: number,
): { axial: number; scalar: number } {
  const squared = radius * radius + height * height;
  return {
    axial: (exitance * radius * radius) / squared,
    scalar: (exitance / 2) * (1 - height / Math.sqrt(squared)),
  };
}

function unitRay(p: Vec3, corner: Vec3): Vec3 {
  const [x, y, z] = [corner[0] - p[0], corner[1] - p[1], corner[2] - p[2]];
  const r = Math.sqrt(x * x + y * y + z * z) || 1;
  return [x / r, y / r, z / r];
}

/** Adds the angle between two rays times the unit normal of their plane. */
function addEdge(sum: [number, number, number], a: Vec3, b: Vec3): void {
  const cx = a[1] * b[2] - a[2] * b[1];
  const cy = a[2] * b[0] - a[0] * b[2];
  const cz = a[0] * b[1] - a[1] * b[0];
  const sine = Math.sqrt(cx * cx + cy * cy + cz * cz);
  if (sine < 1e-15) return;
  const share = Math.atan2(sine, a[0] * b[0] + a[1] * b[1] + a[2] * b[2]) / sine;
  sum[0] += cx * share;
  sum[1] += cy * share;
  sum[2] += cz * share;
}

function solidAngle(rays: readonly Vec3[]): number {
  let sum = 0;
  for (let i = 1; i + 1 < rays.length; i++)
    sum += triangleAngle(itemAt(rays, 0), itemAt(rays, i), itemAt(rays, i + 1));
  return Math.abs(sum);
}

function triangleAngle(a: Vec3, b: Vec3, c: Vec3): number {
  const volume =
    a[0] * (b[1] * c[2] - b[2] * c[1]) +
    a[1] * (b[2] * c[0] - b[0] * c[2]) +
    a[2] * (b[0] * c[1] - b[1] * c[0]);
  const dot = (u: Vec3, v: Vec3): number => u[0] * v[0] + u[1] * v[1] + u[2] * v[2];
  return 2 * Math.atan2(volume, 1 + dot(a, b) + dot(b, c) + dot(c, a));
}
