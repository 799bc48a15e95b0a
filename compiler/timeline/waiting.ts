/**
 * Looks at bags that do not stand on the rack yet: a batch that `enters` later waits
 * elsewhere in the dark from its sealing on, and mould comes there as well.
 *
 * Always holds: the plan's rule for looks counts from the sealing day; none on that
 * day, nor once the bags have entered. The controller has no zone for them, so they
 * are in no table: lists, calendars and cards tell them.
 */

import { itemAt } from '../../shared/assert.ts';
import { civilDay } from '../../shared/units.ts';
import type { ResolvedBatch, ResolvedPlan } from '../plan/plan.ts';
import { keepAway, type Moved } from './arrange.ts';
import type { VisitOccurrence } from './visit.ts';
import { recur } from './visits.ts';

/** Stands for a zone's index in the visits of a batch (index) that waits. */
export const waitingZone = (batch: number): number => -1 - batch;

/** The batch (index) that waits, of a visit's zone; undefined for a zone of the plan. */
export const waitingBatch = (zone: number): number | undefined => (zone < 0 ? -1 - zone : undefined);

/** The first day on which bags of a batch stand on the rack. */
export function entersOn({ zones, sealed }: ResolvedBatch): number {
  const first = zones.filter(({ isMovedTo }) => !isMovedTo).map(({ enters }) => enters);
  return first.length === 0 ? sealed : Math.min(...first);
}

/** The looks, and those that days away moved or dropped. */
export function waitingLooks(plan: ResolvedPlan): {
  readonly visits: readonly VisitOccurrence[];
  readonly moved: readonly Moved[];
} {
  const rule = plan.visits.look;
  if (!rule) return { visits: [], moved: [] };
  const wanted = plan.batches.flatMap((batch, index) =>
    recur(rule, batch.sealed, entersOn(batch)).map(
      (due): VisitOccurrence => ({
        ...due,
        ...{ controller: 0, zone: waitingZone(index), batch: index, kind: 'look' },
      }),
    ),
  );
  return keepAway(wanted, plan.visits.away, ({ batch }) => {
    const waits = itemAt(plan.batches, batch);
    return { enters: waits.sealed, free: civilDay(entersOn(waits)) };
  });
}
