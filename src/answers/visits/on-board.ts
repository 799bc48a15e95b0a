/**
 * Until when a board reminds: a table that had no room for all visits ends sooner
 * than the plan, and has to be flashed again by then.
 *
 * Always holds: nothing but the table's bytes tells what the board has.
 */

import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { firstInstant } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { dueVisits } from '../changes/course.ts';

/**
 * The last day whose reminders the table on the board of `controller` has, where the plan has visits
 * after all of the table's; undefined where it has none.
 */
export function remindersOnBoard(
  bytes: Uint8Array,
  visits: readonly VisitOccurrence[],
  controller: number,
  offsets: UtcOffsets,
  today: CivilDay,
): CivilDay | undefined {
  const decoded = decodeTable(bytes);
  if (!decoded.ok) return undefined;
  const due = dueVisits(decoded.table, offsets, firstInstant(offsets, today, 0));
  const last = Math.max(today - 1, ...due.map(({ day }) => day));
  const missing = visits.filter((visit) => visit.controller === controller && visit.day > last);
  if (missing.length === 0) return undefined;
  return civilDay(Math.min(...missing.map(({ day }) => day)) - 1);
}
