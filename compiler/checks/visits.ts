/**
 * Findings about visits that could not be kept where the plan wants them.
 *
 * Always holds: facts only; one finding for each reason and kind, not for each visit.
 */

import { isoDate } from '../../shared/civil.ts';
import type { Diagnostic } from '../diagnostics/diagnostic.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Moved } from '../timeline/arrange.ts';

/** Findings about moved visits: `W510` dropped while away, `W511` more bags than `most`, `N512` moved. */
export function checkVisits(plan: ResolvedPlan, moved: readonly Moved[]): Diagnostic[] {
  const span = plan.visits.span;
  const finding = (code: string, severity: 'warning' | 'note', list: readonly Moved[]): Diagnostic[] =>
    list.length === 0
      ? []
      : [{ code, severity, span, facts: { visits: list.map((one) => words(plan, one)) } }];
  return [
    ...finding(
      'W510',
      'warning',
      moved.filter(({ why, to }) => why === 'away' && to === undefined),
    ),
    ...finding(
      'W511',
      'warning',
      moved.filter(({ why, to }) => why === 'most' && to === undefined),
    ),
    ...finding(
      'N512',
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
