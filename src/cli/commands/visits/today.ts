/** The day that `visits` takes as today. */

import { existsSync } from 'node:fs';
import { civilDayAt } from '../../../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { isoDate, utcFromUnixMs } from '../../../../shared/civil.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { knownBoards, lastMs } from '../../../archive/known.ts';
import { withArchive } from '../../../archive/open.ts';
import type { ArchiveToRead } from '../../../jobs/archive.ts';
import { todayAt } from '../../options/dates.ts';
import { remark } from '../../terminal.ts';

/** The day named, else the place's; of a virtual controller, which stands still between commands, the last day it had. */
export async function todayOf(
  plan: ResolvedPlan,
  { place, name, practice }: ArchiveToRead,
  named: string | undefined,
): Promise<CivilDay> {
  if (named !== undefined || !practice || !existsSync(place)) return todayAt(plan.timezone, named);
  const heard = await withArchive(place, Date.now(), async (archive) => {
    const boards = [];
    for (const controller of plan.controllers)
      boards.push(...(await knownBoards(archive, name, controller.name)));
    return Math.max(0, ...boards.map(lastMs));
  });
  if (heard === 0) return todayAt(plan.timezone, undefined);
  const day = civilDayAt(plan.timezone, utcFromUnixMs(heard));
  remark(`Today is taken as ${isoDate(day)}, its last day; --day takes another.`);
  return day;
}
