/** The sentence about a table that does not hold all the reminders, the same wherever it is said. */

import { isoDate } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';

/** `reminders on the board until 2026-05-09; flash again by then`. */
export function remindersWords(until: CivilDay): string {
  return `reminders on the board until ${isoDate(until)}; flash again by then`;
}
