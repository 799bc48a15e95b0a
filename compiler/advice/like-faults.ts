/**
 * Which faults of the light are told together.
 *
 * Always holds: asked here by whoever tries remedies and by whoever tells, so that what is
 * told has been tried.
 */

import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';

/** Of so many faults told together each has its line; of more, those of a stage share one. */
export const ONE_BY_ONE = 12;

/** Equal for faults that are told together: of one kind and cause, under one regime. */
export const likeFault = (
  plan: ResolvedPlan | undefined,
  kind: string,
  cause: string | undefined,
  batch: number,
  zone: number,
): string => JSON.stringify([kind, cause ?? '', (plan && stayIn(plan, batch, zone)?.regime) ?? '']);
