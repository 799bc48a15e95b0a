/**
 * The stage a treatment belongs to, and its name for the grower.
 *
 * Always holds: a name is never empty; days before the first stage and after the last
 * are named after that stage.
 */

import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan, ResolvedStage } from '../plan/plan.ts';
import type { Treatment } from '../steer/treatment.ts';

type When = Pick<Treatment, 'batch' | 'zone' | 'stage' | 'firstDay'>;

const stagesOf = (plan: ResolvedPlan, { batch, zone }: When): readonly ResolvedStage[] =>
  stayIn(plan, batch, zone)?.stages ?? [];

/** The stage; undefined before the first and after the last. */
export const stageOf = (plan: ResolvedPlan, when: When): ResolvedStage | undefined =>
  stagesOf(plan, when)[when.stage];

/** `climb`, `after ripen`, `before wake`. */
export function stageName(plan: ResolvedPlan, when: When): string {
  const stages = stagesOf(plan, when);
  const [first, last] = [stages[0], stages.at(-1)];
  const found = stages[when.stage];
  if (found !== undefined) return found.name;
  if (first === undefined || last === undefined) return 'no stage';
  return when.firstDay < first.from ? `before ${first.name}` : `after ${last.name}`;
}
