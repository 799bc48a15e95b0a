/** The work of the coming days: what the plan asks for, less what archive and book say was done. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { planVisits } from '../../../compiler/timeline/visits.ts';
import { waitingLooks } from '../../../compiler/timeline/waiting.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { type Known, type NotKept, notKept, type WorkItem, workFrom } from '../../answers/visits/work.ts';
import type { ArchiveToRead } from '../archive.ts';
import { type KnownOfVisits, knownOfVisits } from './known.ts';

export interface Work {
  readonly items: readonly WorkItem[];
  /** What days away leave no room for. */
  readonly gone: readonly NotKept[];
  readonly known: Known & KnownOfVisits;
}

/** The work of `days` days from `from` on, of the plan in the file `path`. */
export async function workOf(
  path: string,
  plan: ResolvedPlan,
  where: ArchiveToRead,
  from: CivilDay,
  days: number,
): Promise<Work> {
  const { visits: onRack, moved } = planVisits(plan);
  const waiting = waitingLooks(plan);
  const known = {
    visits: [...onRack, ...waiting.visits],
    ...(await knownOfVisits(path, plan, onRack, where, from)),
  };
  return {
    items: workFrom(plan, known, from, days),
    gone: notKept(plan, known, [...moved, ...waiting.moved], from, days),
    known,
  };
}
