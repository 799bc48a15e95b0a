/** Civil time at a place around an instant. */

import { type CivilDay, civilDay, type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import { offsetsFor, type UtcOffsets, wallClock } from './utc-offsets.ts';

const DAY = 86_400;
/** Span over which a time zone's offsets are looked up: the longest grow with room to spare. */
const PAST_DAYS = 400;
const AHEAD_DAYS = 1500;

/** Offsets of `timezone` (IANA name) from a year before `instant` to four years after. */
export function offsetsAround(timezone: string, instant: UtcSeconds): UtcOffsets {
  const from = utcSeconds(instant - PAST_DAYS * DAY);
  return offsetsFor(timezone, from, utcSeconds(instant + AHEAD_DAYS * DAY));
}

/** The civil day there at an instant. */
export function civilDayAt(timezone: string, instant: UtcSeconds): CivilDay {
  const offsets = offsetsFor(timezone, instant, utcSeconds(instant + 1));
  return civilDay(wallClock(offsets, instant).day);
}
