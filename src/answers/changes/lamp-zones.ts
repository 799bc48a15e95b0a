/**
 * Which zone each output's lamps stand at, for the question whether a zone
 * loses light.
 *
 * Always holds: every output is in at least one place; an output that lights
 * two zones is in both.
 */

import type { ResolvedLamp, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { namesOf, oneOutput } from '../../words/names.ts';

/** A zone, or an output that stands at none, with the outputs (1 the first) that light it. */
export interface LitPlace {
  readonly name: string;
  readonly outputs: readonly number[];
}

/** The places that a controller's outputs light: zones in plan order, then outputs without one. */
export function litPlaces(plan: ResolvedPlan, controller: number): LitPlace[] {
  const names = namesOf(plan, controller);
  const lit = names.outputs.map((lamps) => plan.lamps.filter(({ name }) => lamps.includes(name)));
  const zonesOf = lit.map((lamps) => lamps.flatMap((lamp) => zoneOf(plan, lamp)));
  const zones = plan.zones.map(({ name }, zone) => ({
    name: `zone ${name}`,
    outputs: zonesOf.flatMap((list, i) => (list.includes(zone) ? [i + 1] : [])),
  }));
  const rest = zonesOf.flatMap((list, i) =>
    list.length === 0 ? [{ name: oneOutput(i + 1, names), outputs: [i + 1] }] : [],
  );
  return [...zones.filter(({ outputs }) => outputs.length > 0), ...rest];
}

/** The zone that a lamp stands beside, else the nearest on its shelf; none on a shelf without zones. */
function zoneOf(plan: ResolvedPlan, lamp: ResolvedLamp): number[] {
  if (lamp.beside) return [lamp.beside.zone];
  const [x, y] = middle(lamp);
  const far = plan.zones.map((zone) =>
    zone.shelf === lamp.shelf ? Math.hypot(outside(x, zone.x), outside(y, zone.y)) : Number.POSITIVE_INFINITY,
  );
  const nearest = Math.min(...far);
  return Number.isFinite(nearest) ? [far.indexOf(nearest)] : [];
}

function middle({ shape }: ResolvedLamp): readonly [number, number] {
  if (shape.kind !== 'strip') return [shape.at[0], shape.at[1]];
  return [(shape.from[0] + shape.to[0]) / 2, (shape.from[1] + shape.to[1]) / 2];
}

/** How far a place lies outside a range. */
const outside = (at: number, [low, high]: readonly [number, number]): number =>
  Math.max(low - at, at - high, 0);
