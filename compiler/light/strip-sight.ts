/**
 * A strip as it is seen from one point: the closed form of `sources.ts` made ready for
 * many stretches and cuts of one strip.
 *
 * Always holds: positions along the strip are counted in metres from the foot of the
 * perpendicular from the point; a strip seen from behind is not seen.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import type { Light, Strip } from './sources.ts';

export interface Sight {
  readonly along: Vec3;
  /** From the strip's nearest point (on its line) to the point that looks. */
  readonly off: Vec3;
  /** Of the foot from the strip's first end, metres. */
  readonly foot: number;
  readonly squared: number;
  readonly distance: number;
  /** Candela per metre times how far the point lies ahead. */
  readonly strength: number;
}

/** One end of a stretch, with the closed form's terms there. */
export interface StretchEnd {
  readonly at: number;
  readonly across: number;
  readonly length: number;
  readonly scalar: number;
}

/** The strip as `p` sees it; undefined from behind. */
export function sightOf(p: Vec3, strip: Strip): Sight | undefined {
  const [rx, ry, rz] = [p[0] - strip.from[0], p[1] - strip.from[1], p[2] - strip.from[2]];
  const { along, facing } = strip;
  const ahead = rx * facing[0] + ry * facing[1] + rz * facing[2];
  if (!(ahead > 1e-9)) return undefined;
  const foot = rx * along[0] + ry * along[1] + rz * along[2];
  const squared = Math.max(rx * rx + ry * ry + rz * rz - foot * foot, ahead * ahead);
  return {
    along,
    off: [rx - foot * along[0], ry - foot * along[1], rz - foot * along[2]],
    foot,
    squared,
    distance: Math.sqrt(squared),
    strength: strip.perMetre * ahead,
  };
}

/** The terms of the closed form at a position. */
export function endAt({ squared, distance, strength }: Sight, at: number): StretchEnd {
  const far = squared + at * at;
  return {
    at,
    across: (-strength * (at / far + Math.atan(at / distance) / distance)) / (2 * squared),
    length: -strength / (2 * far),
    scalar: (strength * at) / (4 * squared * Math.sqrt(far)),
  };
}

/** What the stretch between two ends gives: vector toward it and scalar. */
export function lightBetween({ along, off }: Sight, from: StretchEnd, to: StretchEnd): Light {
  const across = to.across - from.across;
  const length = to.length - from.length;
  return {
    x: across * off[0] + length * along[0],
    y: across * off[1] + length * along[1],
    z: across * off[2] + length * along[2],
    scalar: to.scalar - from.scalar,
  };
}

/** How far before planes through the point the strip lies: at its foot, and more by the metre along. */
export interface PlanesSeen {
  readonly base: Float64Array;
  readonly slope: Float64Array;
}

/** The planes with these normals as one strip is seen, for all its stretches. */
export function planesSeen({ along, off }: Sight, normals: readonly Vec3[]): PlanesSeen {
  const base = new Float64Array(normals.length);
  const slope = new Float64Array(normals.length);
  for (let k = 0; k < normals.length; k++) {
    const [x, y, z] = itemAt(normals, k);
    slope[k] = x * along[0] + y * along[1] + z * along[2];
    base[k] = -(x * off[0] + y * off[1] + z * off[2]);
  }
  return { base, slope };
}

/** The part of a stretch before plane `k`: all of it, nothing (undefined), or what a cut leaves. */
export function partBefore(
  sight: Sight,
  from: StretchEnd,
  to: StretchEnd,
  planes: PlanesSeen,
  k: number,
  whole: Light,
): Light | undefined {
  const base = planes.base[k] ?? 0;
  const slope = planes.slope[k] ?? 0;
  const first = base + from.at * slope;
  const last = base + to.at * slope;
  if (first * last >= 0) return first + last > 0 ? whole : undefined;
  const cut = endAt(sight, -base / slope);
  return first > 0 ? lightBetween(sight, from, cut) : lightBetween(sight, cut, to);
}
