/** The day that is taken as today by what looks at visits. */

import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate, utcFromUnixMs } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { knownBoards, lastMs } from '../../archive/known.ts';
import { lookInArchive } from '../../archive/open.ts';
import { type ArchiveToRead, isArchiveThere } from '../archive.ts';
import { todayAt } from '../dates.ts';
import { face } from '../face.ts';

export interface Today {
  readonly day: CivilDay;
  /** It is the last day of a virtual controller, which stands still meanwhile, not this computer's. */
  readonly isPractice: boolean;
}

/** The place's day; of a virtual controller the last day it had. */
export async function todayIn(plan: ResolvedPlan, { place, name, practice }: ArchiveToRead): Promise<Today> {
  const own = { day: todayAt(plan.timezone, undefined), isPractice: false };
  if (!practice || !isArchiveThere(place)) return own;
  const heard = await lookInArchive(place, Date.now(), async (archive) => {
    const boards = [];
    for (const controller of plan.controllers)
      boards.push(...(await knownBoards(archive, name, controller.name)));
    return Math.max(0, ...boards.map(lastMs));
  });
  if (heard === 0) return own;
  return { day: civilDayAt(plan.timezone, utcFromUnixMs(heard)), isPractice: true };
}

/** The day named, else today; where that is a virtual controller's it is said. */
export async function todayOf(
  plan: ResolvedPlan,
  where: ArchiveToRead,
  named: string | undefined,
): Promise<CivilDay> {
  if (named !== undefined) return todayAt(plan.timezone, named);
  const { day, isPractice } = await todayIn(plan, where);
  if (isPractice) face.remark(`Today is taken as ${isoDate(day)}, its last day; --day takes another.`);
  return day;
}
