/**
 * Where a lamp's body is: the points that bound it.
 *
 * Always holds: lengths come out in the unit they go in; a panel's width is level.
 */

import type { LampShape, Vec3 } from './plan.ts';

/** The points that bound a lamp: a spot's place, a strip's ends, a panel's four corners in turn. */
export function lampPoints(shape: LampShape, facing: Vec3): readonly Vec3[] {
  if (shape.kind === 'strip') return [shape.from, shape.to];
  return shape.kind === 'spot' ? [shape.at] : panelCorners(shape.at, shape.size, facing);
}

/** The corners of a panel `across` wide and `up` tall, its centre at `at`, square to the unit vector `axis`. */
export function panelCorners(
  at: Vec3,
  [across, up]: readonly [number, number],
  axis: Vec3,
): readonly [Vec3, Vec3, Vec3, Vec3] {
  const u = sideways(axis);
  const v = cross(axis, u);
  const corner = (a: number, b: number): Vec3 => [
    at[0] + (a * across * u[0] + b * up * v[0]) / 2,
    at[1] + (a * across * u[1] + b * up * v[1]) / 2,
    at[2] + (a * across * u[2] + b * up * v[2]) / 2,
  ];
  return [corner(-1, -1), corner(1, -1), corner(1, 1), corner(-1, 1)];
}

/** The level direction square to an axis: a panel's width, and the zero plane of a photometric file. */
export function sideways(axis: Vec3): Vec3 {
  const flat = Math.hypot(axis[0], axis[1]);
  return flat < 1e-6 ? [1, 0, 0] : [-axis[1] / flat, axis[0] / flat, 0];
}

export const cross = (a: Vec3, b: Vec3): Vec3 => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
