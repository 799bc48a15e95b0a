/**
 * Civil dates and UTC instants as whole numbers counted from 2000-01-01.
 *
 * Always holds: the proleptic Gregorian calendar; no clock is read here.
 */

import { type CivilDay, civilDay, type UtcSeconds, utcSeconds } from './units.ts';

const MS_PER_DAY = 86_400_000;
const EPOCH_MS = Date.UTC(2000, 0, 1);

/** The civil day of a year, month (1–12) and day; undefined when there is no such date. */
export function dayFromYmd(year: number, month: number, day: number): CivilDay | undefined {
  const ms = Date.UTC(year, month - 1, day);
  const back = new Date(ms);
  const same =
    back.getUTCFullYear() === year && back.getUTCMonth() === month - 1 && back.getUTCDate() === day;
  return same ? civilDay((ms - EPOCH_MS) / MS_PER_DAY) : undefined;
}

/** Year, month (1–12) and day of a civil day. */
export function ymdFromDay(day: CivilDay): { year: number; month: number; day: number } {
  const date = new Date(EPOCH_MS + day * MS_PER_DAY);
  return { year: date.getUTCFullYear(), month: date.getUTCMonth() + 1, day: date.getUTCDate() };
}

/** The ISO date, such as `2026-02-16`. */
export function isoDate(day: CivilDay): string {
  return new Date(EPOCH_MS + day * MS_PER_DAY).toISOString().slice(0, 10);
}

/** A civil day from an ISO date; undefined when the text is no existing date. */
export function dayFromIso(text: string): CivilDay | undefined {
  const match = /^(\d{4})-(\d{2})-(\d{2})$/.exec(text);
  return match ? dayFromYmd(Number(match[1]), Number(match[2]), Number(match[3])) : undefined;
}

/** Day of the week, 0 Monday to 6 Sunday (ISO 8601 order). Day 0 was a Saturday. */
export function weekday(day: CivilDay): number {
  return (((day + 5) % 7) + 7) % 7;
}

/** The ISO instant without a fraction, such as `2026-04-13T07:00:00Z`. */
export function isoInstant(instant: UtcSeconds): string {
  return `${new Date(EPOCH_MS + instant * 1000).toISOString().slice(0, 19)}Z`;
}

/** UTC seconds since 2000 from milliseconds since 1970 (rounded down). */
export function utcFromUnixMs(unixMs: number): UtcSeconds {
  return utcSeconds(Math.floor((unixMs - EPOCH_MS) / 1000));
}

/** Milliseconds since 1970 of UTC seconds since 2000. */
export function unixMsFromUtc(instant: UtcSeconds): number {
  return EPOCH_MS + instant * 1000;
}

/** `08:05` of a minute of the day; minutes past midnight carry on (`25:10` is written `01:10`). */
export function clockTime(minuteOfDay: number): string {
  const m = ((minuteOfDay % 1440) + 1440) % 1440;
  return `${String(Math.floor(m / 60)).padStart(2, '0')}:${String(m % 60).padStart(2, '0')}`;
}

/** The first and the last day that a plan may name, ISO: as far as a controller's clock counts, and no slip of the pen. */
export const PLAN_DAYS = { least: '2000-01-01', most: '2099-12-31' } as const;
