/**
 * The UTC-offset changes of an IANA time zone over a span of time, as the table
 * carries them, and the civil arithmetic on them.
 *
 * Always holds: the runtime's own IANA data (Intl) is the only source; offsets
 * are whole quarter hours, which every time zone has kept since 1972.
 */

import { sure } from '../../shared/assert.ts';
import { unixMsFromUtc } from '../../shared/civil.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';

/** A time zone's offsets from `initialQuarters` on, with every later change. */
export interface UtcOffsets {
  /** Offset in quarter hours at (and before) the start of the span. */
  readonly initialQuarters: number;
  /** Ascending; from `at` on the offset is `quarters`. */
  readonly changes: readonly { readonly at: UtcSeconds; readonly quarters: number }[];
}

const DAY = 86_400;
const QUARTER = 900;

/** Offsets of `timezone` (a known IANA name) between two instants. */
export function offsetsFor(timezone: string, from: UtcSeconds, to: UtcSeconds): UtcOffsets {
  const quartersAt = offsetReader(timezone);
  const initialQuarters = quartersAt(from);
  const changes: { at: UtcSeconds; quarters: number }[] = [];
  let before = initialQuarters;
  for (let at = from as number; at < to; at += DAY) {
    const next = Math.min(at + DAY, to);
    const after = quartersAt(next);
    if (after === before) continue;
    changes.push({ at: utcSeconds(changeBetween(quartersAt, at, next)), quarters: after });
    before = after;
  }
  return { initialQuarters, changes };
}

/** Readers by time zone: a process has one edition of the data, and each controller's table asks about much the same days. */
const readers = new Map<string, (instant: number) => number>();

function offsetReader(timezone: string): (instant: number) => number {
  const reader = readers.get(timezone) ?? newReader(timezone);
  readers.set(timezone, reader);
  return reader;
}

function newReader(timezone: string): (instant: number) => number {
  const known = new Map<number, number>();
  const format = new Intl.DateTimeFormat('en-US', {
    timeZone: timezone,
    hourCycle: 'h23',
    year: 'numeric',
    month: 'numeric',
    day: 'numeric',
    hour: 'numeric',
    minute: 'numeric',
    second: 'numeric',
  });
  const read = (instant: number): number => {
    const ms = unixMsFromUtc(utcSeconds(instant));
    const part: Record<string, number> = {};
    for (const { type, value } of format.formatToParts(ms)) part[type] = Number(value);
    const wall = Date.UTC(
      sure(part.year),
      sure(part.month) - 1,
      part.day,
      part.hour,
      part.minute,
      part.second,
    );
    return Math.round((wall - ms) / 1000 / QUARTER);
  };
  return (instant) => {
    const quarters = known.get(instant) ?? read(instant);
    // Midnights are asked for again and again; what halving looks at between them is not.
    if (instant % DAY === 0) known.set(instant, quarters);
    return quarters;
  };
}

/** The minute at which the offset changes, by halving. */
function changeBetween(quartersAt: (instant: number) => number, from: number, to: number): number {
  const before = quartersAt(from);
  let low = Math.floor(from / 60);
  let high = Math.ceil(to / 60);
  while (high - low > 1) {
    const middle = Math.floor((low + high) / 2);
    if (quartersAt(middle * 60) === before) low = middle;
    else high = middle;
  }
  return high * 60;
}

/** Offset in quarter hours at an instant. */
export function quartersAt(offsets: UtcOffsets, instant: UtcSeconds): number {
  let quarters = offsets.initialQuarters;
  for (const change of offsets.changes) if (change.at <= instant) quarters = change.quarters;
  return quarters;
}

/**
 * The first instant at which the wall clock reads `minute` (it may lie outside
 * 0–1439) of civil day `day`. A minute that the wall clock skips is the change
 * itself; of a repeated minute the first pass counts.
 */
export function firstInstant(offsets: UtcOffsets, day: number, minute: number): UtcSeconds {
  const wall = day * DAY + minute * 60;
  let start = Number.NEGATIVE_INFINITY;
  let quarters = offsets.initialQuarters;
  for (const change of offsets.changes) {
    const instant = wall - quarters * QUARTER;
    if (instant < change.at) return utcSeconds(Math.max(instant, start));
    start = change.at;
    quarters = change.quarters;
  }
  return utcSeconds(Math.max(wall - quarters * QUARTER, start));
}

/** The civil day and minute that the wall clock shows at an instant. */
export function wallClock(offsets: UtcOffsets, instant: UtcSeconds): { day: number; minute: number } {
  const wall = instant + quartersAt(offsets, instant) * QUARTER;
  const day = Math.floor(wall / DAY);
  return { day, minute: Math.floor((wall - day * DAY) / 60) };
}
