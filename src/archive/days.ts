/** Civil days as they lie in the archive: one that cannot be is damage, and told as such. */

import { type CivilDay, civilDay } from '../../shared/units.ts';
import { damaged } from './error.ts';
import type { Archive } from './open.ts';

/** Days that a note or a correction can be about: from 2000 to 2273. */
const DAYS_MAX = 100_000;

/** A day read from a row. Throws ArchiveError for a number that is no day. */
export function dayIn(archive: Archive, day: number): CivilDay {
  if (!Number.isInteger(day) || day < 0 || day > DAYS_MAX) throw damaged(archive.place);
  return civilDay(day);
}
