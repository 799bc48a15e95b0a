/**
 * When the running table's visits are due, and how long each can be answered.
 *
 * Always holds: functions of the table alone; times are UTC seconds from 2000,
 * days are civil days from 2000-01-01.
 */

import { sure } from '../../shared/assert.ts';
import { VISIT_KINDS, type VisitEntry, type VisitGroup } from '../../shared/table.ts';
import { type Schedule, scheduleInstant } from '../schedule.ts';

const DAY_SECONDS = 86_400;
const DAY_MINUTES = 1_440;

export const HARVEST = VISIT_KINDS.indexOf('harvest');

/** One visit: kind and zones, due on a day, open in [due, end). */
export interface Occurrence {
  readonly kind: number;
  readonly zones: number;
  readonly day: number;
  /** Due minute of the day. */
  readonly at: number;
  readonly due: number;
  readonly end: number;
  /** Days it is open: 1, or more for a harvest. */
  readonly days: number;
  /** Seconds before `due` from which it can be answered early; 0: never. */
  readonly early: number;
}

/** All visits of a table, ascending by window end. */
export function visitDays(schedule: Schedule | undefined): Occurrence[] {
  const groups = schedule?.table.visits?.groups ?? [];
  const found = groups.flatMap((group) => groupDays(sure(schedule), group));
  return found.sort((one, other) => one.end - other.end);
}

function groupDays(schedule: Schedule, group: VisitGroup): Occurrence[] {
  return group.bindings.flatMap(({ startDay, zones }) =>
    group.entries.flatMap((entry) => {
      const first = schedule.table.baseDay + startDay + entry.from;
      return entryDays(entry, first).map((day) => occurrence(schedule, entry, zones, day));
    }),
  );
}

/** The civil days on which an entry is due, `first` being its first. */
function entryDays(entry: VisitEntry, first: number): number[] {
  if (entry.form === 'every') return Array.from({ length: entry.count }, (_, i) => first + i * entry.every);
  if (entry.form !== 'weekdays') return [first];
  const days = Array.from({ length: entry.days }, (_, i) => first + i);
  // Day 0 was a Saturday; bit 0 of the mask is Monday.
  return days.filter((day) => (entry.mask >> ((day + 5) % 7)) & 1);
}

function occurrence(schedule: Schedule, entry: VisitEntry, zones: number, day: number): Occurrence {
  const days = entry.form === 'open' ? entry.days : 1;
  return {
    kind: VISIT_KINDS.indexOf(entry.kind),
    zones,
    day,
    at: entry.at,
    due: scheduleInstant(schedule, day, entry.at),
    end: scheduleInstant(schedule, day + days - 1, hoursEnd(schedule, entry.at)),
    days,
    early: earlySeconds(entry),
  };
}

/** Half the interval at which a visit comes back. */
function earlySeconds(entry: VisitEntry): number {
  if (entry.form === 'open') return 0;
  if (entry.form === 'once') return DAY_SECONDS / 2;
  if (entry.form === 'every') return (entry.every * DAY_SECONDS) / 2;
  const weekdays = [0, 1, 2, 3, 4, 5, 6].filter((bit) => (entry.mask >> bit) & 1).length;
  return Math.floor((3.5 * DAY_SECONDS) / weekdays);
}

/** End of the visiting hours that hold a minute of the day; midnight outside all of them. */
export function hoursEnd(schedule: Schedule, minute: number): number {
  const hours = schedule.table.pulse?.hours ?? [];
  return hours.find(([from, until]) => from <= minute && minute < until)?.[1] ?? DAY_MINUTES;
}

/** True when a minute of the day lies in the visiting hours. */
export function inHours(schedule: Schedule, minute: number): boolean {
  const hours = schedule.table.pulse?.hours ?? [];
  return hours.some(([from, until]) => from <= minute && minute < until);
}
