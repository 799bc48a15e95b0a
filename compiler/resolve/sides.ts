/**
 * On which sides a zone has lamps, so that `lean: sway` alone knows between
 * which it swings.
 */

import { type Degrees, degrees } from '../../shared/units.ts';
import { lampPoints } from '../plan/lamp-points.ts';
import type { ResolvedLamp, ResolvedScreen, ResolvedZone, Vec3 } from '../plan/plan.ts';
import { SIDE_AZIMUTH, SIDE_NAMES, type SideName } from '../plan/sides.ts';

type Neighbours = {
  readonly zones: readonly (ResolvedZone | undefined)[];
  readonly lamps: readonly (ResolvedLamp | undefined)[];
  readonly screens: readonly (ResolvedScreen | undefined)[];
};

/** Azimuths of the sides on which the zone has lamps of its own. */
export function lampSides(zoneIndex: number, around: Neighbours): readonly Degrees[] {
  const zone = around.zones[zoneIndex];
  if (!zone) return [];
  const sides = new Set<SideName>();
  for (const lamp of around.lamps) {
    const side = lamp && sideOfLamp(zoneIndex, zone, lamp, around);
    if (side) sides.add(side);
  }
  return SIDE_NAMES.filter((side) => sides.has(side)).map((side) => degrees(SIDE_AZIMUTH[side]));
}

function sideOfLamp(
  index: number,
  zone: ResolvedZone,
  lamp: ResolvedLamp,
  around: Neighbours,
): SideName | undefined {
  if (lamp.beside) {
    const { zone: beside, side } = lamp.beside;
    return beside === index && side !== 'above' ? side : undefined;
  }
  if (lamp.shelf !== zone.shelf) return undefined;
  const centre = middle(lampPoints(lamp.shape, lamp.facing));
  const side = SIDE_NAMES.find((one) => standsOn(one, zone, centre, lamp.facing));
  return side && !obstructed(index, zone, centre, around) ? side : undefined;
}

function middle(points: readonly Vec3[]): Vec3 {
  const sum = (axis: 0 | 1 | 2) => points.reduce((total, point) => total + point[axis], 0) / points.length;
  return [sum(0), sum(1), sum(2)];
}

/** Beyond that edge of the zone, level with it, and shining toward it. */
function standsOn(side: SideName, zone: ResolvedZone, [x, y]: Vec3, facing: Vec3): boolean {
  const besideX = y > zone.y[0] - 1 && y < zone.y[1] + 1;
  const besideY = x > zone.x[0] - 1 && x < zone.x[1] + 1;
  if (side === 'left') return x <= zone.x[0] && besideX && facing[0] > 0.3;
  if (side === 'right') return x >= zone.x[1] && besideX && facing[0] < -0.3;
  if (side === 'front') return y <= zone.y[0] && besideY && facing[1] > 0.3;
  return y >= zone.y[1] && besideY && facing[1] < -0.3;
}

/** Another zone or a screen stands between the zone's middle and the lamp. */
function obstructed(
  index: number,
  zone: ResolvedZone,
  [x, y]: Vec3,
  { zones, screens }: Neighbours,
): boolean {
  const from: Point = [(zone.x[0] + zone.x[1]) / 2, (zone.y[0] + zone.y[1]) / 2];
  const crossed = (box: Box) => segmentMeetsBox(from, [x, y], box);
  const byZone = zones.some(
    (other, i) => other && i !== index && other.shelf === zone.shelf && crossed({ x: other.x, y: other.y }),
  );
  return (
    byZone || screens.some((screen) => screen && screen.shelf === zone.shelf && crossed(footprint(screen)))
  );
}

type Point = readonly [number, number];
interface Box {
  readonly x: readonly [number, number];
  readonly y: readonly [number, number];
}

function footprint({ from, to }: ResolvedScreen): Box {
  return {
    x: [Math.min(from[0], to[0]), Math.max(from[0], to[0])],
    y: [Math.min(from[1], to[1]), Math.max(from[1], to[1])],
  };
}

/** Slab test in plan. */
function segmentMeetsBox(from: Point, to: Point, box: Box): boolean {
  let enter = 0;
  let leave = 1;
  for (const [start, end, [low, high]] of [
    [from[0], to[0], box.x],
    [from[1], to[1], box.y],
  ] as const) {
    const step = end - start;
    if (step === 0) {
      if (start < low || start > high) return false;
      continue;
    }
    const a = (low - start) / step;
    const b = (high - start) / step;
    enter = Math.max(enter, Math.min(a, b));
    leave = Math.min(leave, Math.max(a, b));
  }
  return enter <= leave;
}
