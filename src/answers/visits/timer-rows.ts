/**
 * A table's light as a wall timer can be set to it: from when to when, on which days.
 *
 * Always holds: hours are read from the table itself, the one thing the controller
 * runs; light over midnight is one stretch of the day it begins on; what is too
 * short to be set by hand is left out or joined to what is beside it.
 */

import { firstInstant, quartersAt, type UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { traceTable } from '../../../firmware-sim/schedule.ts';
import { type CivilDay, civilDay, utcSeconds } from '../../../shared/units.ts';

/** A stretch of light of one output, minutes of the civil day it begins on (past 1440: into the next). */
export interface LitHours {
  readonly from: number;
  readonly until: number;
  /** 0–255; of a stretch that changes, the mean. */
  readonly level: number;
}

/** Days in a row on which an output has the same hours. */
export interface TimerRow {
  readonly first: CivilDay;
  readonly last: CivilDay;
  readonly stretches: readonly LitHours[];
}

/** Shorter light is not worth a rider on a timer, nor is a shorter pause, minutes. */
const SHORTEST = 30;
/** Wall timers are set in quarter hours. */
const STEP = 15;
const DAY_MINUTES = 1440;

/** The timer settings of an output (1 the first) for the light that begins in `days` days from `first` on. */
export function timerRows(
  bytes: Uint8Array,
  output: number,
  offsets: UtcOffsets,
  first: CivilDay,
  days: number,
): TimerRow[] {
  const byDay = stretchesByDay(bytes, output, offsets, first, days);
  const rows: TimerRow[] = [];
  for (let day = first as number; day < first + days; day++) {
    const stretches = byDay.get(day) ?? [];
    const before = rows.at(-1);
    if (before && JSON.stringify(before.stretches) === JSON.stringify(stretches))
      rows[rows.length - 1] = { ...before, last: civilDay(day) };
    else rows.push({ first: civilDay(day), last: civilDay(day), stretches });
  }
  return rows;
}

/** A stretch in UTC minutes without the outputs' stagger. */
interface Span {
  from: number;
  until: number;
  /** Level × minutes. */
  light: number;
}

function stretchesByDay(
  bytes: Uint8Array,
  output: number,
  offsets: UtcOffsets,
  first: CivilDay,
  days: number,
): Map<number, LitHours[]> {
  const found = new Map<number, LitHours[]>();
  // Light of the last day may last a day more.
  const [begin, end] = [firstInstant(offsets, first, 0), firstInstant(offsets, first + days + 1, 0)];
  for (const span of spansOf(bytes, output, begin, end)) {
    if (span.until - span.from < SHORTEST) continue;
    for (const { day, stretch } of cutByDay(span, offsets)) {
      if (day < first || day >= first + days) continue;
      found.set(day, [...(found.get(day) ?? []), stretch]);
    }
  }
  return found;
}

/** Lit stretches in order; those with a short pause between them are one. */
function spansOf(bytes: Uint8Array, output: number, begin: number, end: number): Span[] {
  const lag = output - 1;
  const spans: Span[] = [];
  const add = (from: number, until: number, level: number): void => {
    const last = spans.at(-1);
    const light = level * (until - from);
    if (last && from - last.until < SHORTEST) {
      last.until = until;
      last.light += light;
    } else spans.push({ from, until, light });
  };
  let open: { readonly from: number; readonly level: number } | undefined;
  const change = (utc: number, level: number): void => {
    const minute = Math.round((utc - lag) / 60);
    if (open && level === open.level) return;
    if (open && open.level > 0) add(open.from, minute, open.level);
    open = { from: minute, level };
  };
  for (const { utc, levels } of traceTable(bytes, begin + lag, end + lag)) change(utc, levels[lag] ?? 0);
  change(end + lag, -1);
  return spans;
}

/** A stretch on the day it begins on; one of more than a day is cut at each midnight. */
function cutByDay(
  { from, until, light }: Span,
  offsets: UtcOffsets,
): { readonly day: number; readonly stretch: LitHours }[] {
  const level = Math.round(light / (until - from));
  const wall = from + 15 * quartersAt(offsets, utcSeconds(from * 60));
  const day = Math.floor(wall / DAY_MINUTES);
  const begins = rounded(wall - day * DAY_MINUTES);
  const ends = rounded(begins + until - from);
  if (until - from <= DAY_MINUTES) return [{ day, stretch: { from: begins, until: ends, level } }];
  const days = Math.ceil(ends / DAY_MINUTES);
  return Array.from({ length: days }, (_, n) => {
    const own = { from: n === 0 ? begins : 0, until: Math.min(DAY_MINUTES, ends - n * DAY_MINUTES), level };
    return { day: day + n, stretch: own };
  }).filter(({ stretch }) => stretch.until - stretch.from >= SHORTEST);
}

const rounded = (minutes: number): number => STEP * Math.round(minutes / STEP);
