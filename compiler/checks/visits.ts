/**
 * Findings about visits that could not be kept where the plan wants them.
 *
 * Always holds: facts only; one finding for each reason and kind, not for each visit.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { Report } from '../findings/collector.ts';
import type { VisitFacts } from '../findings/facts.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Moved } from '../timeline/arrange.ts';

/** Findings about moved visits: dropped while away, more bags than `most`, moved. */
export function checkVisits(plan: ResolvedPlan, moved: readonly Moved[], report: Report): void {
  const { span } = plan.visits;
  const visits = (wanted: (one: Moved) => boolean): VisitFacts[] =>
    moved.filter(wanted).map((one) => visitFacts(plan, one));
  const dropped = visits(({ why, to }) => why === 'away' && to === undefined);
  const tooMany = visits(({ why, to }) => why === 'most' && to === undefined);
  const elsewhere = visits(({ to }) => to !== undefined);
  if (dropped.length > 0) report('visit-dropped', span, { visits: dropped });
  if (tooMany.length > 0) report('visit-too-many', span, { visits: tooMany });
  if (elsewhere.length > 0) report('visit-moved', span, { visits: elsewhere });
}

function visitFacts(plan: ResolvedPlan, { visit, to }: Moved): VisitFacts {
  return {
    kind: visit.kind,
    zone: itemAt(plan.zones, visit.zone).name,
    day: isoDate(visit.day),
    to: to && isoDate(to),
  };
}
