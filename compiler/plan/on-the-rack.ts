/**
 * What stands where on the rack: which zone a lamp lights, which lamps an output
 * has, which controller a zone counts for.
 *
 * Always holds: every zone counts for exactly one controller; a zone on a shelf
 * without lamps counts for the first. These questions are answered here and
 * nowhere else.
 */

import { itemAt } from '../../shared/assert.ts';
import type { ResolvedBackground, ResolvedLamp, ResolvedPlan, Vec3 } from './plan.ts';

/** A part of the plan: what these questions need of it. */
export type RackPlan = Pick<ResolvedPlan, 'zones' | 'lamps'>;

/** The middle of a lamp: of a strip between its ends, else its own place; mm. */
export function middleOfLamp({ shape }: Pick<ResolvedLamp, 'shape'>): Vec3 {
  if (shape.kind !== 'strip') return shape.at;
  const { from, to } = shape;
  return [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2];
}

/**
 * The zone (index) that a lamp (index) mainly lights: the one it was written
 * beside, else the nearest before it on its shelf; undefined when none is.
 */
export function zoneOfLamp({ zones, lamps }: RackPlan, lamp: number): number | undefined {
  const { beside, shelf, facing, ...rest } = itemAt(lamps, lamp);
  if (beside) return beside.zone;
  const [x, y] = middleOfLamp(rest);
  let found: { zone: number; distance: number } | undefined;
  zones.forEach((zone, n) => {
    if (zone.shelf !== shelf) return;
    const [dx, dy] = [(zone.x[0] + zone.x[1]) / 2 - x, (zone.y[0] + zone.y[1]) / 2 - y];
    if (dx * facing[0] + dy * facing[1] <= 0 && Math.abs(facing[2]) < 0.7) return;
    const distance = Math.hypot(dx, dy);
    if (found === undefined || distance < found.distance) found = { zone: n, distance };
  });
  return found?.zone;
}

/** The lamps (indices) that mainly light a zone. */
export function lampsOfZone(rack: RackPlan, zone: number): number[] {
  return rack.lamps.flatMap((_, lamp) => (zoneOfLamp(rack, lamp) === zone ? [lamp] : []));
}

/** The lamps (indices) on an output, which is numbered from 1 as on the board. */
export function lampsOfOutput(
  { lamps }: Pick<RackPlan, 'lamps'>,
  controller: number,
  number: number,
): number[] {
  return lamps.flatMap(({ output }, lamp) =>
    output.controller === controller && output.number === number ? [lamp] : [],
  );
}

/**
 * The controller (index) whose reminder a zone's visits are: that of the lamps
 * written beside it, else of the nearest lamp on its shelf, else the first.
 */
export function controllerOfZone({ zones, lamps }: RackPlan, zone: number): number {
  const own = lamps.find((lamp) => lamp.beside?.zone === zone);
  if (own) return own.output.controller;
  const { shelf, x, y } = itemAt(zones, zone);
  const near = lamps
    .filter((lamp) => lamp.shelf === shelf)
    .map((lamp) => {
      const [lampX, lampY] = middleOfLamp(lamp);
      return { lamp, far: Math.hypot(lampX - (x[0] + x[1]) / 2, lampY - (y[0] + y[1]) / 2) };
    })
    .sort((a, b) => a.far - b.far)[0];
  return near?.lamp.output.controller ?? 0;
}

/** The zones (indices, in plan order) that count for a controller: zone 1, 2 … of its table. */
export function zonesOfController(rack: RackPlan, controller: number): number[] {
  return rack.zones.map((_, zone) => zone).filter((zone) => controllerOfZone(rack, zone) === controller);
}

/** Whether any lamp stands on a zone's shelf or is written beside it. */
export function hasLamps({ zones, lamps }: RackPlan, zone: number): boolean {
  const { shelf } = itemAt(zones, zone);
  return lamps.some((lamp) => lamp.shelf === shelf || lamp.beside?.zone === zone);
}

/** How strong a background light is in a zone (index): 0 where it does not shine. */
export function backgroundIn(
  { level, zones }: Pick<ResolvedBackground, 'level' | 'zones'>,
  zone: number,
): number {
  return zones === undefined || zones.includes(zone) ? level : 0;
}
