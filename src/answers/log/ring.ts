/**
 * How long a controller's log can be left alone: it keeps its newest 240
 * records and writes over older ones, read or not.
 *
 * Always holds: what the plan foresees is counted day by day, and a part of
 * the ring is kept back for what it does not (power cuts, hands, faults).
 */

import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { isoDate } from '../../../shared/civil.ts';
import { RING_RECORDS } from '../../../shared/log.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';

/** A day's light and its proof. */
const DAY_RECORDS = 2;
/** Kept back for what nobody foresees. An assumption: a cut, a hand or a fault every four days. */
const SPARE_RECORDS = 30;

/** What a controller's log still holds unread. */
export interface UnreadLog {
  /** Index into the plan's controllers. */
  readonly controller: number;
  /** Records not read yet. */
  readonly unread: number;
  /** Civil day on which so many were. */
  readonly on: CivilDay;
}

/** The day by which a log must be read, so that nothing of it is written over. */
export function readBy(plan: ResolvedPlan, visits: readonly VisitOccurrence[], log: UnreadLog): CivilDay {
  const visitRecords = recordsByDay(plan, visits, log.controller);
  let full = log.unread;
  for (let day = log.on as number; ; day++) {
    full += DAY_RECORDS + (visitRecords.get(day) ?? 0);
    if (full > RING_RECORDS - SPARE_RECORDS) return civilDay(day);
  }
}

/** One record for each kind of visit and due time, on the day it is due; a harvest leaves one a week. */
function recordsByDay(
  plan: ResolvedPlan,
  visits: readonly VisitOccurrence[],
  controller: number,
): ReadonlyMap<number, number> {
  const due = new Map<number, Set<string>>();
  for (const visit of visits) {
    if (controllerOfZone(plan, visit.zone) !== controller) continue;
    for (let day = visit.day as number; day < visit.day + visit.days; day += 7) {
      const kinds = due.get(day) ?? new Set<string>();
      due.set(day, kinds.add(`${visit.kind} ${visit.at}`));
    }
  }
  return new Map([...due].map(([day, kinds]) => [day, kinds.size]));
}

/** `Read the log of pantry by 2026-05-22: after that it writes over what was not read.` */
export function readByWords(controller: string, by: CivilDay, today: CivilDay): string {
  if (by <= today)
    return `Read the log of ${controller} now: it may write over records that were not read yet.`;
  return `Read the log of ${controller} by ${isoDate(by)}: after that it writes over records that were not read.`;
}

/** `, 40 of 240 (17 % full)`, or that older ones are being written over. */
export function fullWords(oldest: number, newest: number): string {
  const kept = newest - oldest + 1;
  if (oldest > 1) return `the ${RING_RECORDS} it has room for: each new one writes over the oldest`;
  return `${kept} of ${RING_RECORDS}, ${Math.round((100 * kept) / RING_RECORDS)} % full`;
}
