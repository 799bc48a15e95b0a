/**
 * The days on which a controller reminds of a harvest while it is open, by
 * `behaviour.md`: so many days apart from its opening on, and each of the last.
 */

import { REMINDER_DAYS, REMINDER_LAST_DAYS } from '../../shared/behaviour.ts';
import { type CivilDay, civilDay } from '../../shared/units.ts';

/** The days, of a harvest that opens on a day for `days` days. */
export function reminderDays(opens: CivilDay, days: number): CivilDay[] {
  return Array.from({ length: days }, (_, i) => i)
    .filter((i) => i % REMINDER_DAYS === 0 || i >= days - REMINDER_LAST_DAYS)
    .map((i) => civilDay(opens + i));
}
