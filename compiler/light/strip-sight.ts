/**
 * A strip as it is seen from one point: the closed form of `sources.ts` made ready for
 * many stretches and cuts of one strip.
 *
 * Always holds: positions along the strip are counted in metres from the foot of the
 * perpendicular from the point; a strip seen from behind is not seen. What is handed on
 * here lives in arrays that are used again: this runs for every lamp and point.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Vec3 } from '../plan/plan.ts';
import { type Flow, noFlow } from './row.ts';
import type { Strip } from './sources.ts';

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

/** One end of a stretch, with the closed form's terms there: where it is, across, length, scalar. */
export type StretchEnd = Float64Array;

export const noEnd = (): StretchEnd => new Float64Array(4);

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

/** Puts the terms of the closed form at a position into `end`. */
export function setEnd(end: StretchEnd, { squared, distance, strength }: Sight, at: number): StretchEnd {
  const far = squared + at * at;
  end[0] = at;
  end[1] = (-strength * (at / far + Math.atan(at / distance) / distance)) / (2 * squared);
  end[2] = -strength / (2 * far);
  end[3] = (strength * at) / (4 * squared * Math.sqrt(far));
  return end;
}

/** Puts what the stretch between two ends gives into `flow`. */
export function setBetween(flow: Flow, { along, off }: Sight, from: StretchEnd, to: StretchEnd): Flow {
  const across = (to[1] ?? 0) - (from[1] ?? 0);
  const length = (to[2] ?? 0) - (from[2] ?? 0);
  flow[0] = across * off[0] + length * along[0];
  flow[1] = across * off[1] + length * along[1];
  flow[2] = across * off[2] + length * along[2];
  flow[3] = (to[3] ?? 0) - (from[3] ?? 0);
  return flow;
}

/** How far before planes through the point the strip lies: at its foot, and more by the metre along. */
export interface PlanesSeen {
  readonly base: Float64Array;
  readonly slope: Float64Array;
}

// Used again for every point; they grow with the planes.
let planesNow: PlanesSeen = { base: new Float64Array(0), slope: new Float64Array(0) };

/** The planes with these normals as one strip is seen, for all its stretches; good until the next strip is looked at. */
export function planesSeen({ along, off }: Sight, normals: readonly Vec3[]): PlanesSeen {
  if (planesNow.base.length < normals.length)
    planesNow = { base: new Float64Array(normals.length), slope: new Float64Array(normals.length) };
  const { base, slope } = planesNow;
  for (let k = 0; k < normals.length; k++) {
    const [x, y, z] = itemAt(normals, k);
    slope[k] = x * along[0] + y * along[1] + z * along[2];
    base[k] = -(x * off[0] + y * off[1] + z * off[2]);
  }
  return planesNow;
}

const cutEnd = noEnd();
const cutFlow = noFlow();

/** The part of a stretch before plane `k`: all of it, nothing (undefined), or what a cut leaves (good until the next). */
export function partBefore(
  sight: Sight,
  from: StretchEnd,
  to: StretchEnd,
  planes: PlanesSeen,
  k: number,
  whole: Flow,
): Flow | undefined {
  const base = planes.base[k] ?? 0;
  const slope = planes.slope[k] ?? 0;
  const first = base + (from[0] ?? 0) * slope;
  const last = base + (to[0] ?? 0) * slope;
  if (first * last >= 0) return first + last > 0 ? whole : undefined;
  setEnd(cutEnd, sight, -base / slope);
  return first > 0 ? setBetween(cutFlow, sight, from, cutEnd) : setBetween(cutFlow, sight, cutEnd, to);
}
