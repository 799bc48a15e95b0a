/**
 * Findings about visits that could not be kept where the plan wants them.
 *
 * Always holds: facts only; one finding for each reason and kind, not for each visit.
 */

import { isoDate } from '../../shared/civil.ts';
import type { Finding } from '../findings/finding.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Moved } from '../timeline/arrange.ts';

/** Findings about moved visits: `visit-dropped` dropped while away, `visit-too-many` more bags than `most`, `visit-moved` moved. */
export function checkVisits(plan: ResolvedPlan, moved: readonly Moved[]): Finding[] {
  const span = plan.visits.span;
  const finding = (code: Finding['code'], severity: 'warning' | 'note', list: readonly Moved[]): Finding[] =>
    list.length === 0
      ? []
      : [{ code, severity, span, facts: { visits: list.map((one) => words(plan, one)) } }];
  return [
    ...finding(
      'visit-dropped',
      'warning',
      moved.filter(({ why, to }) => why === 'away' && to === undefined),
    ),
    ...finding(
      'visit-too-many',
      'warning',
      moved.filter(({ why, to }) => why === 'most' && to === undefined),
    ),
    ...finding(
      'visit-moved',
      'note',
      moved.filter(({ to }) => to !== undefined),
    ),
  ];
}

/** `lift of A on 2026-04-13` or `… to 2026-04-15`. */
function words(plan: ResolvedPlan, { visit, to }: Moved): string {
  const zone = plan.zones[visit.zone]?.name ?? '';
  return `${visit.kind} of ${zone} on ${isoDate(visit.day)}${to === undefined ? '' : ` to ${isoDate(to)}`}`;
}
