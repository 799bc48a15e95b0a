/**
 * The plan's names for one controller's zones and outputs, and the words made of them.
 *
 * Always holds: where no plan gives a name, the number stands for it.
 */

import { lampsOfOutput, zonesOfController } from '../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import type { Units } from '../../shared/measures.ts';
import { list } from './lists.ts';

/** Names of one controller's zones (bit 0 first) and outputs (output 1 first), where a plan gives them. */
export interface Names {
  /** The units of the plan; undefined without one: then both are told. */
  readonly units: Units | undefined;
  readonly zones: readonly string[];
  /** The lamps on each output. */
  readonly outputs: readonly (readonly string[])[];
}

export const NO_NAMES: Names = { units: undefined, zones: [], outputs: [] };

/** Zones of a mask by name where known: `A and C`, `zone 1`. */
export function zoneWords(mask: number, names: Names): string {
  return list(bits(mask).map((bit) => names.zones[bit] ?? `zone ${bit + 1}`));
}

/** Outputs of a mask: `output 1 (A-left)`. */
export function outputWords(mask: number, names: Names): string {
  return list(bits(mask).map((bit) => oneOutput(bit + 1, names)));
}

/** One output, 1 the first, with its lamps where known. */
export function oneOutput(output: number, names: Names): string {
  const lamps = names.outputs[output - 1] ?? [];
  return lamps.length > 0 ? `output ${output} (${lamps.join(', ')})` : `output ${output}`;
}

function bits(mask: number): number[] {
  return Array.from({ length: 16 }, (_, bit) => bit).filter((bit) => mask & (1 << bit));
}

/** Names of the zones and outputs of a controller (index into the plan's controllers). */
export function namesOf(plan: ResolvedPlan, controller: number): Names {
  const board = itemAt(plan.controllers, controller).board;
  return {
    units: plan.units,
    zones: zonesOfController(plan, controller).map((zone) => itemAt(plan.zones, zone).name),
    outputs: board.outputs.map((_, i) =>
      lampsOfOutput(plan, controller, i + 1).map((lamp) => itemAt(plan.lamps, lamp).name),
    ),
  };
}
