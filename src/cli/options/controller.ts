/**
 * The plan's names for one controller's zones and outputs, and the choice of a
 * controller among several.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { zonesOfController } from '../../../compiler/table/assemble.ts';
import { itemAt } from '../../../shared/assert.ts';
import { usage } from '../../failure.ts';
import { list, type Names } from '../../words/controller.ts';

/** Names of the zones and outputs of a controller (index into the plan's controllers). */
export function namesOf(plan: ResolvedPlan, controller: number): Names {
  const board = itemAt(plan.controllers, controller).board;
  return {
    zones: zonesOfController(plan, controller).map((zone) => itemAt(plan.zones, zone).name),
    outputs: board.outputs.map((_, i) =>
      plan.lamps
        .filter(({ output }) => output.controller === controller && output.number === i + 1)
        .map(({ name }) => name),
    ),
  };
}

/** The index of the controller called `name`, or of the only one. */
export function chooseController(plan: ResolvedPlan, name: string | undefined): number {
  const names = plan.controllers.map((controller) => controller.name);
  if (name === undefined && names.length === 1) return 0;
  const index = name === undefined ? -1 : names.indexOf(name);
  if (index >= 0) return index;
  const what =
    name === undefined ? 'The plan has several controllers' : `The plan has no controller '${name}'`;
  throw usage(`${what}: ${list(names)}.`, `Say which one is meant, as in --controller ${names[0]}.`);
}
