/**
 * The closer looks at bags near one that was culled: on which days, and which
 * of them is still to be done.
 *
 * Always holds: a look at the zone, on the day or after it, does the closer
 * look too; none falls on a day away; what does not fit any more is told.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { nextDayHome } from '../../../compiler/timeline/arrange.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { placeOn } from '../bags/lives.ts';
import type { CloserLook } from '../book/culls.ts';
import type { VisitOutcome } from './outcomes.ts';

type Outcomes = ReadonlyMap<string, VisitOutcome>;

/** A closer look, the day on which it falls, and whether it is overdue then. */
export interface CloserDay {
  readonly look: CloserLook;
  readonly day: CivilDay;
  /** The day on which it was due, where that is over. */
  readonly overdue: CivilDay | undefined;
}

/** Its days, those away put off to the first day at home; of two that meet, one. */
function homeDays(plan: ResolvedPlan, { days, life, zone }: CloserLook): CivilDay[] {
  const home = [...new Set(days.map((day) => nextDayHome(plan.visits.away, day)))];
  return home.filter((day) => placeOn(life, day)?.zone === zone);
}

/** The closer looks of [from, end), and on the first day the one before it that nobody did. */
export function closerDays(
  plan: ResolvedPlan,
  looks: readonly CloserLook[],
  outcomes: Outcomes,
  since: CivilDay | undefined,
  from: CivilDay,
  end: number,
): CloserDay[] {
  const done = lastLooks(outcomes);
  return looks.flatMap((look) => {
    const days = homeDays(plan, look);
    const coming = days
      .filter((day) => day >= from && day < end)
      .map((day): CloserDay => ({ look, day, overdue: undefined }));
    const last = days.findLast((day) => day <= from);
    const isOpen = last !== undefined && last < from && since !== undefined && last >= since;
    const isThere = placeOn(look.life, from)?.zone === look.zone;
    if (!isOpen || !isThere || isDone(done, look, last)) return coming;
    return [{ look, day: from, overdue: last }, ...coming];
  });
}

/** The newest day on which each zone was looked at. */
function lastLooks(outcomes: Outcomes): ReadonlyMap<number, number> {
  const newest = new Map<number, number>();
  for (const { zone, kind, answer, doneDay } of outcomes.values()) {
    if (kind !== 'look' || answer === 'missed' || doneDay === undefined) continue;
    newest.set(zone, Math.max(doneDay, newest.get(zone) ?? doneDay));
  }
  return newest;
}

const isDone = (done: ReadonlyMap<number, number>, { zone }: CloserLook, day: CivilDay): boolean =>
  (done.get(zone) ?? -1) >= day;

/** Whether a closer look of that day was done. */
export function closerDone(outcomes: Outcomes, look: CloserLook, day: CivilDay): boolean {
  return isDone(lastLooks(outcomes), look, day);
}

/** The closer looks that were to be in [from, end) on days away and that no day after them can keep. */
export function closerDropped(
  plan: ResolvedPlan,
  looks: readonly CloserLook[],
  from: CivilDay,
  end: number,
): { readonly look: CloserLook; readonly day: CivilDay }[] {
  return looks.flatMap((look) =>
    look.days
      .filter((day) => day >= from && day < end && placeOn(look.life, day)?.zone === look.zone)
      .filter((day) => placeOn(look.life, nextDayHome(plan.visits.away, day))?.zone !== look.zone)
      .map((day) => ({ look, day })),
  );
}
