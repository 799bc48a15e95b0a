/**
 * Visits that remember: what was missed stays until it is done or the next one
 * replaces it, and intervals count on from the day on which the work was done.
 *
 * Always holds: every visit is shown at most once, on its day or, overdue, today;
 * only lifts and looks that come every so many days are counted on: weekdays stay
 * weekdays, turns keep step with the sides of the plan, a harvest its window. The
 * controller cannot know: it goes on reminding on the days of its table.
 */

import { stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { nextDayHome } from '../../../compiler/timeline/arrange.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { entersOn } from '../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type VisitOutcome, visitKey } from './outcomes.ts';

/** A visit and the day on which it now falls. */
export interface RememberedVisit {
  /** As the plan has it: its day names it in log and archive. */
  readonly visit: VisitOccurrence;
  readonly day: CivilDay;
}

type Outcomes = ReadonlyMap<string, VisitOutcome>;

/** Whether a visit was done, whoever says so; a harvest that was only seen is not. */
export function isDone(outcomes: Outcomes, { zone, kind, day }: VisitOccurrence): boolean {
  const answer = outcomes.get(visitKey(zone, kind, day))?.answer;
  return answer === 'done' || answer === 'late' || (answer === 'seen' && kind !== 'harvest');
}

/** The visits of each zone, batch and kind, in order of their days. */
function chains(visits: readonly VisitOccurrence[]): VisitOccurrence[][] {
  const found = new Map<string, VisitOccurrence[]>();
  for (const visit of visits) {
    const key = `${visit.zone} ${visit.batch} ${visit.kind}`;
    found.set(key, [...(found.get(key) ?? []), visit]);
  }
  return [...found.values()].map((chain) => chain.sort((a, b) => a.day - b.day));
}

/** All visits, those after one that was done on another day than it was due counted on from there. */
export function countedOn(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  outcomes: Outcomes,
): RememberedVisit[] {
  return chains(visits).flatMap((chain) => countChain(plan, chain, outcomes));
}

function countChain(
  plan: ResolvedPlan,
  chain: readonly VisitOccurrence[],
  outcomes: Outcomes,
): RememberedVisit[] {
  let shift = 0;
  let stage: string | undefined;
  const counted = chain.map((visit): RememberedVisit => {
    const own = stageOn(stayIn(plan, visit.batch, visit.zone), visit.day);
    // A rule of a stage counts from the stage's first day; the plan's looks count on through all of them.
    if (own?.name !== stage && (visit.kind === 'lift' || own?.look !== undefined)) shift = 0;
    stage = own?.name;
    const day = shift === 0 ? visit.day : nextDayHome(plan.visits.away, civilDay(visit.day + shift));
    const done = outcomes.get(visitKey(visit.zone, visit.kind, visit.day))?.doneDay;
    if (done !== undefined && isDone(outcomes, visit) && isCounted(visit)) shift = done - visit.day;
    return { visit, day };
  });
  return counted.filter((one, i) => keepsItsPlace(plan, one, counted[i + 1]));
}

const isCounted = ({ kind, weekdays }: VisitOccurrence): boolean =>
  (kind === 'lift' || kind === 'look') && weekdays === undefined;

/** A visit that was counted on past the next one, or past its bags' stay, is replaced by that. */
function keepsItsPlace(
  plan: ResolvedPlan,
  { visit, day }: RememberedVisit,
  next: RememberedVisit | undefined,
): boolean {
  if (day === visit.day) return true;
  return day < freeOn(plan, visit) && (next === undefined || day < next.day);
}

/**
 * The visits that were not done and that nothing replaced by `today`; of those due before `since` nobody
 * can know, so they are left alone.
 */
export function overdueOn(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  outcomes: Outcomes,
  since: CivilDay,
  today: CivilDay,
): RememberedVisit[] {
  return chains(visits).flatMap((chain) => {
    const counted = countChain(plan, chain, outcomes);
    const last = counted.findLast(({ day }) => day <= today);
    if (!last || last.visit.day < since) return [];
    // What was done after it, even before its time, replaces it.
    const later = counted.slice(counted.indexOf(last));
    if (later.some(({ visit }) => isDone(outcomes, visit))) return [];
    return today < freeOn(plan, last.visit) && lastDayOf(last) < today ? [last] : [];
  });
}

const lastDayOf = ({ visit, day }: RememberedVisit): number => day + visit.days - 1;

/** The first day on which the bags of a visit are no longer where it is. */
function freeOn(plan: ResolvedPlan, { zone, batch }: VisitOccurrence): number {
  const stay = stayIn(plan, batch, zone);
  return stay?.free ?? entersOn(itemAt(plan.batches, batch));
}
