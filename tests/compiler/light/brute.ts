/**
 * The light the slow way: a source cut into thousands of small flat ones, each traced by
 * itself. Shares no code with the closed forms or the exact shadows.
 */

import type { Vec3 } from '../../../compiler/plan/plan.ts';

export interface Slow {
  x: number;
  y: number;
  z: number;
  scalar: number;
  /** Illuminance of the face with this outward normal. */
  face: number;
}

export interface SlowBox {
  readonly lo: Vec3;
  readonly hi: Vec3;
  readonly passes: number;
}

/** Small flat sources of `flux` lumens altogether at `points`, shining along `axis`, seen from `p`. */
export function slowLight(
  p: Vec3,
  points: readonly Vec3[],
  axis: Vec3,
  flux: number,
  normal: Vec3 = [0, 0, 1],
  boxes: readonly SlowBox[] = [],
): Slow {
  const sum: Slow = { x: 0, y: 0, z: 0, scalar: 0, face: 0 };
  const peak = flux / points.length / Math.PI;
  for (const s of points) {
    const d: Vec3 = [s[0] - p[0], s[1] - p[1], s[2] - p[2]];
    const r = Math.hypot(...d);
    const cosine = -(d[0] * axis[0] + d[1] * axis[1] + d[2] * axis[2]) / r;
    if (cosine <= 0) continue;
    let e = (peak * cosine) / (r * r);
    for (const box of boxes) if (segmentMeets(p, s, box)) e *= box.passes;
    sum.x += (e * d[0]) / r;
    sum.y += (e * d[1]) / r;
    sum.z += (e * d[2]) / r;
    sum.scalar += e / 4;
    sum.face += e * Math.max(0, (d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2]) / r);
  }
  return sum;
}

/** By walking along the segment: crude on purpose. */
function segmentMeets(p: Vec3, q: Vec3, { lo, hi }: SlowBox): boolean {
  const steps = 4000;
  for (let i = 1; i < steps; i++) {
    const t = i / steps;
    const inside = ([0, 1, 2] as const).every((k) => {
      const value = p[k] + t * (q[k] - p[k]);
      return value >= lo[k] && value <= hi[k];
    });
    if (inside) return true;
  }
  return false;
}

/** Points along a line. */
export const along = (from: Vec3, to: Vec3, count: number): Vec3[] =>
  Array.from({ length: count }, (_, i) => {
    const t = (i + 0.5) / count;
    return [
      from[0] + t * (to[0] - from[0]),
      from[1] + t * (to[1] - from[1]),
      from[2] + t * (to[2] - from[2]),
    ];
  });
