/**
 * Which faults of the light are told together.
 *
 * Always holds: asked here by whoever tries remedies and by whoever tells, so that what is
 * told has been tried; faults that want opposite remedies are never alike.
 */

import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';

/** Of so many faults told together each has its line; of more, those of a stage share one. */
export const ONE_BY_ONE = 12;

/** What a fault is like. */
export interface LikeFault {
  readonly kind: string;
  readonly cause: string | undefined;
  /** `levelWay` or `steepWay`; of other kinds there is one way only. */
  readonly way: string | undefined;
  /** Indices in the plan. */
  readonly batch: number;
  readonly zone: number;
}

/** Equal for faults that are told together: of one kind, way and cause, under one regime. */
export const likeFault = (
  plan: ResolvedPlan | undefined,
  { kind, cause, way, batch, zone }: LikeFault,
): string =>
  JSON.stringify([kind, way ?? '', cause ?? '', (plan && stayIn(plan, batch, zone)?.regime) ?? '']);

/** A level beside the band it is asked to be in, lx, as told. */
interface Level {
  readonly level: number;
  readonly brightest: number;
  readonly byEye?: number;
  readonly low: number;
  readonly high: number;
}

/** Where a level outside its band is; one that is outside by less than is told, where it is nearest to the end. */
export function levelWay({ level, brightest, byEye, low, high }: Level): 'dim' | 'bright' | 'both' {
  const [below, above] = [low - level, (byEye ?? brightest) - high];
  if (below > 0 && above > 0) return 'both';
  return below >= above ? 'dim' : 'bright';
}

/** Whether light comes from overhead or from below; degrees above the level. */
export const steepWay = (elevation: number): 'above' | 'below' => (elevation < 0 ? 'below' : 'above');
