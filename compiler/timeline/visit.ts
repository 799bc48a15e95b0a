/**
 * One visit of the grow.
 */

import type { VisitKind } from '../../shared/table.ts';
import type { CivilDay, Degrees, Minutes } from '../../shared/units.ts';

export interface VisitOccurrence {
  /** Index into the plan's controllers: whose button and pulse it is. */
  readonly controller: number;
  /** Index into the plan's zones. */
  readonly zone: number;
  /** Index into the plan's batches. */
  readonly batch: number;
  readonly kind: VisitKind;
  /** Civil day on which it is due (a harvest: opens). */
  readonly day: CivilDay;
  /** Minute of the day. */
  readonly at: Minutes;
  /** Whether the plan says the minute; else the visit joins the day's walk. */
  readonly fixed: boolean;
  /** Days it stays open: 1, or more for a harvest. */
  readonly days: number;
  /** The usual distance to the next one, in days (for moving and for pressing early). */
  readonly interval: number;
  /** Weekdays it recurs on (0 Monday), when that is its rule. */
  readonly weekdays: readonly number[] | undefined;
  /** Turn visits: the bag's own side that growth leans to from this turn on. */
  readonly side: Degrees | undefined;
}

/** The visits of each controller, in their order. */
export function visitsByController(visits: readonly VisitOccurrence[]): Map<number, VisitOccurrence[]> {
  const all = new Map<number, VisitOccurrence[]>();
  for (const visit of visits) {
    const known = all.get(visit.controller);
    if (known === undefined) all.set(visit.controller, [visit]);
    else known.push(visit);
  }
  return all;
}
