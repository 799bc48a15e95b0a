/**
 * The plan's names for one controller's zones and outputs, and the choice of a
 * controller among several.
 */

import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { usage } from '../failure.ts';
import { list } from '../words/lists.ts';

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
