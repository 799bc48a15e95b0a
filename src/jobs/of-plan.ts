/**
 * The plan beside a command that talks to a controller: names for what the
 * controller counts, and what a virtual controller needs to begin.
 */

import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import { type Names, NO_NAMES } from '../words/names.ts';
import type { LinkContext } from './port.ts';

/** What a plan tells the link about one of its controllers. */
export function contextOf(plan: ResolvedPlan, controller: number): LinkContext {
  const { unit, board } = itemAt(plan.controllers, controller);
  const sealed = plan.batches.map((batch) => batch.sealed);
  return {
    unit,
    board,
    timezone: plan.timezone,
    ...(sealed.length > 0 ? { firstDay: Math.min(...sealed) } : {}),
  };
}

/** Context, names, and the controller's own name and index from a plan, or none. */
export async function optionalPlan(
  path: string | undefined,
  controllerName: string | undefined,
): Promise<{ context: LinkContext; names: Names; name: string | undefined; index: number | undefined }> {
  if (path === undefined) return { context: {}, names: NO_NAMES, name: undefined, index: undefined };
  const { readPlanFile } = await import('./plan-file.ts');
  const { chooseController } = await import('./choose-controller.ts');
  const { namesOf } = await import('../words/names.ts');
  const plan = readPlanFile(path);
  const controller = chooseController(plan, controllerName);
  const { name } = itemAt(plan.controllers, controller);
  return { context: contextOf(plan, controller), names: namesOf(plan, controller), name, index: controller };
}
