/**
 * Which zones a lamp may burn for.
 *
 * Always holds: a lamp written `beside` a zone belongs to it; one placed by coordinates
 * belongs to the zones of its shelf it stands before (the nearest, and those about as
 * near that no screen hides); `help` adds others. Told from the plan alone, whatever
 * stands on the rack that day, so that a lamp of an empty zone stays off.
 */

import { itemAt } from '../../shared/assert.ts';
import type { FieldOutput } from '../light/field.ts';
import type { ResolvedLamp, ResolvedPlan, ResolvedZone } from '../plan/plan.ts';

type Span = readonly [low: number, high: number];

/** A zone about as near as the nearest: this many times its distance, and so many millimetres more. */
const AS_NEAR = { times: 1.5, more: 50 } as const;
/** A lamp whose axis is steeper than this (45°) shines up or down: to all sides of it. */
const STEEP = Math.SQRT1_2;

/** What has been worked out for a plan, lamp by lamp: it is asked for again and again. */
const known = new WeakMap<ResolvedPlan, (readonly number[])[]>();

/** Indices of the zones a lamp may burn for, ascending. */
export function zonesOfLamp(plan: ResolvedPlan, index: number): readonly number[] {
  const all = known.get(plan) ?? plan.lamps.map((lamp) => zonesFor(plan, lamp));
  known.set(plan, all);
  return itemAt(all, index);
}

function zonesFor(plan: ResolvedPlan, lamp: ResolvedLamp): number[] {
  const own = lamp.beside ? [lamp.beside.zone] : zonesBefore(plan, lamp);
  return [...new Set([...own, ...lamp.helps])].sort((a, b) => a - b);
}

/** The zones an output's lamps may burn for, ascending. */
export function zonesOfOutput(plan: ResolvedPlan, { lamps }: FieldOutput): readonly number[] {
  if (lamps.length === 1) return zonesOfLamp(plan, itemAt(lamps, 0));
  return [...new Set(lamps.flatMap((lamp) => zonesOfLamp(plan, lamp)))].sort((a, b) => a - b);
}

/** What has been worked out for a field's outputs. */
const knownOutputs = new WeakMap<readonly FieldOutput[], readonly (readonly number[])[]>();

/** The outputs (indices) whose lamps may burn for a zone, ascending. */
export function outputsOfZone(
  plan: ResolvedPlan,
  outputs: readonly FieldOutput[],
  zone: number,
): readonly number[] {
  const known = knownOutputs.get(outputs) ?? outputsByZone(plan, outputs);
  knownOutputs.set(outputs, known);
  return itemAt(known, zone);
}

function outputsByZone(plan: ResolvedPlan, outputs: readonly FieldOutput[]): number[][] {
  const byZone = plan.zones.map((): number[] => []);
  for (const [index, output] of outputs.entries())
    for (const zone of zonesOfOutput(plan, output)) itemAt(byZone, zone).push(index);
  return byZone;
}

function zonesBefore(plan: ResolvedPlan, lamp: ResolvedLamp): number[] {
  const before = plan.zones.flatMap((zone, index) => {
    const here = zone.shelf === lamp.shelf && shinesToward(lamp, zone);
    return here ? [{ index, far: distance(lamp, zone), hidden: isHidden(plan, lamp, zone) }] : [];
  });
  const seen = before.some(({ hidden }) => !hidden) ? before.filter(({ hidden }) => !hidden) : before;
  const nearest = Math.min(...seen.map(({ far }) => far));
  return seen
    .filter(({ far }) => far <= nearest * AS_NEAR.times + AS_NEAR.more)
    .map(({ index: zone }) => zone);
}

/** Extent of a lamp along x or y. */
function extent({ shape }: ResolvedLamp, axis: 0 | 1): Span {
  const ends = shape.kind === 'strip' ? [shape.from[axis], shape.to[axis]] : [shape.at[axis]];
  return [Math.min(...ends), Math.max(...ends)];
}

const between = (a: number, b: number): Span => [Math.min(a, b), Math.max(a, b)];
const middle = ([low, high]: Span): number => (low + high) / 2;

/** Whether some corner of the zone lies before the lamp. */
function shinesToward(lamp: ResolvedLamp, zone: ResolvedZone): boolean {
  const [fx, fy, fz] = lamp.facing;
  if (Math.abs(fz) > STEEP) return true;
  const [x, y] = [middle(extent(lamp, 0)), middle(extent(lamp, 1))];
  return zone.x.some((zx) => zone.y.some((zy) => (zx - x) * fx + (zy - y) * fy > 0));
}

const gap = (a: Span, b: Span): number => Math.max(0, a[0] - b[1], b[0] - a[1]);

/** Distance in plan between a lamp and a zone, mm; 0 where the lamp hangs over it. */
const distance = (lamp: ResolvedLamp, zone: ResolvedZone): number =>
  Math.hypot(gap(extent(lamp, 0), zone.x), gap(extent(lamp, 1), zone.y));

/** Whether a screen of the shelf stands between the middles of lamp and zone. */
function isHidden({ screens }: ResolvedPlan, lamp: ResolvedLamp, zone: ResolvedZone): boolean {
  const from = [middle(extent(lamp, 0)), middle(extent(lamp, 1))] as const;
  const to = [middle(zone.x), middle(zone.y)] as const;
  return screens.some((screen) => {
    if (screen.shelf !== lamp.shelf) return false;
    return crosses(from, to, between(screen.from[0], screen.to[0]), between(screen.from[1], screen.to[1]));
  });
}

/** Whether a stretch in plan meets a box (slab test). */
function crosses(from: readonly [number, number], to: readonly [number, number], x: Span, y: Span): boolean {
  let [enter, leave] = [0, 1];
  for (const [start, end, [low, high]] of [
    [from[0], to[0], x],
    [from[1], to[1], y],
  ] as const) {
    const step = end - start;
    if (step === 0) {
      if (start < low || start > high) return false;
      continue;
    }
    const [a, b] = [(low - start) / step, (high - start) / step];
    enter = Math.max(enter, Math.min(a, b));
    leave = Math.min(leave, Math.max(a, b));
  }
  return enter <= leave;
}
