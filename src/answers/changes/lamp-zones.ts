/**
 * Which zone each output's lamps stand at, for the question whether a zone
 * loses light.
 *
 * Always holds: every output is in at least one place; an output that lights
 * two zones is in both.
 */

import { lampsOfOutput, zoneOfLamp } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { namesOf, oneOutput } from '../../words/names.ts';

/** A zone, or an output that stands at none, with the outputs (1 the first) that light it. */
export interface LitPlace {
  readonly name: string;
  readonly outputs: readonly number[];
}

/** The places that a controller's outputs light: zones in plan order, then outputs without one. */
export function litPlaces(plan: ResolvedPlan, controller: number): LitPlace[] {
  const names = namesOf(plan, controller);
  const zonesOf = names.outputs.map((_, i) =>
    lampsOfOutput(plan, controller, i + 1).flatMap((lamp) => zoneOfLamp(plan, lamp) ?? []),
  );
  const zones = plan.zones.map(({ name }, zone) => ({
    name: `zone ${name}`,
    outputs: zonesOf.flatMap((list, i) => (list.includes(zone) ? [i + 1] : [])),
  }));
  const rest = zonesOf.flatMap((list, i) =>
    list.length === 0 ? [{ name: oneOutput(i + 1, names), outputs: [i + 1] }] : [],
  );
  return [...zones.filter(({ outputs }) => outputs.length > 0), ...rest];
}
