/**
 * Findings about visits that could not be kept where the plan wants them.
 *
 * Always holds: facts only; one finding for each reason and kind, not for each visit.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import type { Report } from '../findings/collector.ts';
import type { MovedVisit } from '../findings/facts.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { isAway, type Moved } from '../timeline/arrange.ts';
import { reminderDays } from '../timeline/harvest-reminders.ts';
import type { VisitOccurrence } from '../timeline/visit.ts';

/** Findings about visits and days away: dropped, more bags than `most`, moved; reminders that come all the same. */
export function checkVisits(
  plan: ResolvedPlan,
  kept: readonly VisitOccurrence[],
  moved: readonly Moved[],
  report: Report,
): void {
  const { span } = plan.visits;
  const visits = (wanted: (one: Moved) => boolean): MovedVisit[] =>
    moved.filter(wanted).map((one) => visitFacts(plan, one));
  const dropped = visits(({ why, to }) => why === 'away' && to === undefined);
  const tooMany = visits(({ why, to }) => why === 'most' && to === undefined);
  const elsewhere = visits(({ to, joins }) => to !== undefined && !joins);
  const joined = visits(({ joins }) => joins);
  if (dropped.length > 0) report('visit-dropped', span, { visits: dropped });
  if (tooMany.length > 0) report('visit-too-many', span, { visits: tooMany });
  if (elsewhere.length + joined.length > 0) report('visit-moved', span, { visits: elsewhere, joined });
  const reminders = remindersAway(plan, kept);
  if (reminders.length > 0) report('harvest-reminds-away', span, { reminders });
}

/** The days away on which a board reminds of a harvest that is open around them. */
function remindersAway(plan: ResolvedPlan, kept: readonly VisitOccurrence[]): MovedVisit[] {
  return kept.flatMap((visit) => {
    if (visit.kind !== 'harvest') return [];
    const days = reminderDays(visit.day, visit.days).filter((day) => isAway(plan.visits.away, day));
    const zone = itemAt(plan.zones, visit.zone).name;
    return days.map((day) => ({ kind: visit.kind, zone, day: isoDate(day), to: undefined }));
  });
}

/** The day of a visit; of a harvest the first and last. */
function dayOf({ kind, day, days }: VisitOccurrence): string {
  return kind === 'harvest' ? `${isoDate(day)}–${isoDate(civilDay(day + days - 1))}` : isoDate(day);
}

function visitFacts(plan: ResolvedPlan, { visit, to }: Moved): MovedVisit {
  return {
    kind: visit.kind,
    zone: itemAt(plan.zones, visit.zone).name,
    day: dayOf(visit),
    to: to && dayOf(to),
  };
}
