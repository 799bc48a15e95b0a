import fc from 'fast-check';
import { Temporal } from 'temporal-polyfill';
import { describe, expect, it } from 'vitest';
import { firstInstant, offsetsFor, quartersAt, wallClock } from '../../compiler/plan/utc-offsets.ts';
import { sure } from '../../shared/assert.ts';
import { dayFromIso, isoDate, unixMsFromUtc } from '../../shared/civil.ts';
import { civilDay, utcSeconds } from '../../shared/units.ts';
import { firstReading } from './intent.ts';
import { ZONES } from './zones.ts';

const DAY = 86_400;
const FIRST = sure(dayFromIso('2026-01-01'));
const DAYS = 730;

// Outside check: Temporal (temporal-polyfill) reads the IANA data by its own road.
describe.each(ZONES)('%s', (timezone) => {
  const offsets = offsetsFor(timezone, utcSeconds(FIRST * DAY), utcSeconds((FIRST + DAYS) * DAY));

  it('has the offset changes Temporal finds', () => {
    let zoned = Temporal.Instant.fromEpochMilliseconds(
      unixMsFromUtc(utcSeconds(FIRST * DAY)),
    ).toZonedDateTimeISO(timezone);
    const expected: { at: number; quarters: number }[] = [];
    for (;;) {
      const next = zoned.getTimeZoneTransition('next');
      if (!next || next.epochMilliseconds > unixMsFromUtc(utcSeconds((FIRST + DAYS) * DAY))) break;
      const at = (next.epochMilliseconds - unixMsFromUtc(utcSeconds(0))) / 1000;
      expected.push({ at, quarters: next.offsetNanoseconds / 900e9 });
      zoned = next;
    }
    expect(offsets.changes).toEqual(expected);
  });

  it('shows the wall clock Temporal shows', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: DAYS * DAY - 1 }), (after) => {
        const instant = utcSeconds(FIRST * DAY + after);
        const zoned = Temporal.Instant.fromEpochMilliseconds(unixMsFromUtc(instant)).toZonedDateTimeISO(
          timezone,
        );
        const { day, minute } = wallClock(offsets, instant);
        expect([isoDate(civilDay(day)), minute]).toEqual([
          zoned.toPlainDate().toString(),
          zoned.hour * 60 + zoned.minute,
        ]);
        expect(quartersAt(offsets, instant)).toBe(zoned.offsetNanoseconds / 900e9);
      }),
      { numRuns: 100 },
    );
  });

  it('first reads each minute of the change days when Temporal does', () => {
    for (const { at } of offsets.changes) {
      const { day } = wallClock(offsets, utcSeconds(at - 1));
      for (let step = 0; step < 2 * 1440; step += 15) {
        const date = isoDate(civilDay(day + Math.floor(step / 1440)));
        const minute = step % 1440;
        expect(firstInstant(offsets, day, step)).toBe(firstReading(timezone, date, minute));
      }
    }
  });
});
