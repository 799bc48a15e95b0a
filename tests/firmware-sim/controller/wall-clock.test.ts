/** The wall clock that a table tells, at and around every midnight and change of a year, against Temporal. */

import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import {
  minuteOfDayAt,
  nextDaySecond,
  openSchedule,
  scheduleDayAt,
  scheduleInstant,
  scheduleQuartersAt,
  traceTable,
} from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso, unixMsFromUtc, utcFromUnixMs } from '../../../shared/civil.ts';
import type { OffsetChange } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { type UtcSeconds, utcSeconds } from '../../../shared/units.ts';
import { firstReading } from '../../equivalence/intent.ts';
import { emptyTable } from '../../support/empty-table.ts';

const FIRST = sure(dayFromIso('2026-01-01'));
const DAYS = 365;
const QUARTER_NS = 900e9;

const at = (utc: number, zone: string): Temporal.ZonedDateTime =>
  Temporal.Instant.fromEpochMilliseconds(unixMsFromUtc(utcSeconds(utc))).toZonedDateTimeISO(zone);
const utcOf = (zoned: Temporal.ZonedDateTime): UtcSeconds => utcFromUnixMs(zoned.epochMilliseconds);

/** The offsets of a place from the first day on, as a table has them. */
function offsetsOf(zone: string): { initialQuarters: number; changes: OffsetChange[] } {
  const start = at(FIRST * 86_400, zone);
  const changes: OffsetChange[] = [];
  for (let next = start.getTimeZoneTransition('next'); next; next = next.getTimeZoneTransition('next')) {
    const minute = utcOf(next) / 60 - FIRST * 1440;
    if (minute > 1440 * (DAYS + 9)) break;
    changes.push({ minute, quarters: next.offsetNanoseconds / QUARTER_NS });
  }
  return { initialQuarters: start.offsetNanoseconds / QUARTER_NS, changes };
}

describe.each([
  ...['Europe/Lisbon', 'America/St_Johns', 'Australia/Lord_Howe', 'Pacific/Kiritimati', 'Africa/Casablanca'],
])('the wall clock of %s', (zone) => {
  const offsets = offsetsOf(zone);
  const schedule = sure(openSchedule(encodeTable({ ...emptyTable(FIRST), ...offsets }).bytes));
  const midnights = Array.from({ length: DAYS }, (_, n) =>
    utcOf(
      Temporal.PlainDate.from('2026-01-01')
        .add({ days: n + 1 })
        .toZonedDateTime(zone),
    ),
  );
  const changes = offsets.changes.map(({ minute }) => FIRST * 86_400 + 60 * minute);
  /** Days round the changes, and some others. */
  const chosen = midnights.flatMap((midnight, n) =>
    n % 30 === 0 || changes.some((change) => Math.abs(change - midnight) < 2 * 86_400) ? [n] : [],
  );

  it('shows the day and minute of Temporal', () => {
    for (const edge of [...chosen.map((n) => itemAt(midnights, n)), ...changes])
      for (const t of [edge - 1, edge, edge + 59, edge + 12_345]) {
        const zoned = at(t, zone);
        expect(scheduleDayAt(schedule, t)).toBe(dayFromIso(zoned.toPlainDate().toString()));
        expect(minuteOfDayAt(schedule, t)).toBe(60 * zoned.hour + zoned.minute);
        expect(scheduleQuartersAt(schedule, t)).toBe(zoned.offsetNanoseconds / QUARTER_NS);
      }
  });

  it('shows the next day at the next midnight, or looks again at the change before it', () => {
    for (const n of chosen) {
      const midnight = itemAt(midnights, n);
      const before = n === 0 ? midnight - 3600 : itemAt(midnights, n - 1);
      for (const t of [before, midnight - 1]) {
        const change = changes.find((one) => one > t && one < midnight);
        expect(nextDaySecond(schedule, t)).toBe(change ?? midnight);
      }
    }
  });

  it('first reads a minute when it does by Temporal: a skipped one at the change, of two the first', () => {
    for (const n of chosen) {
      const date = Temporal.PlainDate.from('2026-01-01').add({ days: n }).toString();
      for (const minute of [0, 59, 60, 90, 119, 120, 150, 180, 1439])
        expect(scheduleInstant(schedule, FIRST + n, minute)).toBe(firstReading(zone, date, minute));
    }
  });
});

it('is that of UTC without a table', () => {
  const t = FIRST * 86_400 + 3_661;
  expect(scheduleDayAt(undefined, t)).toBe(FIRST);
  expect(minuteOfDayAt(undefined, t)).toBe(61);
  expect(scheduleQuartersAt(undefined, t)).toBe(0);
  expect(nextDaySecond(undefined, t)).toBe((FIRST + 1) * 86_400);
  expect(scheduleInstant(undefined, FIRST, 61)).toBe(t - 1);
});

it('a trace holds the state at its first second, and no change at its end', () => {
  const { bytes } = encodeTable({
    ...emptyTable(FIRST),
    patterns: [{ start: 60, continuous: false, segments: [{ length: 60, level: 16 }] }],
    tracks: [[{ kind: 'plain', days: 1, pattern: 0 }]],
    bindings: [{ outputs: 1, track: 0, startDay: 0, steadyQuarters: undefined }],
  });
  const lit = FIRST * 86_400 + 3600;
  const between = (from: number, until: number): unknown[] =>
    [...traceTable(bytes, from, until)].map(({ utc, levels }) => [utc - lit, levels[0]]);
  expect(between(lit - 1, lit)).toEqual([[-1, 0]]);
  expect(between(lit - 1, lit + 1)).toEqual([
    [-1, 0],
    [0, 255],
  ]);
  expect(between(lit, lit + 3600)).toEqual([[0, 255]]);
});
