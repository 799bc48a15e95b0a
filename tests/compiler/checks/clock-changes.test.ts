/**
 * Notes about light that starts in a skipped or repeated hour, with the clock
 * changes of the system's IANA data: Lisbon 2026-03-29 01:00 → 02:00 and
 * 2026-10-25 02:00 → 01:00; Lord Howe Island 2026-10-04 02:00 → 02:30 and
 * 2026-04-05 02:00 → 01:30 (half an hour).
 */

import { describe, expect, test } from 'vitest';
import { noteClockChanges } from '../../../compiler/checks/clock-changes.ts';
import { collect } from '../../../compiler/findings/collector.ts';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { ofCode } from '../../support/findings.ts';
import { day, smallest } from '../../support/read-plan.ts';

function notes(timezone: string, sealed: string, start: string, clock = 'civil'): unknown[] {
  const plan = smallest(
    ['America/Chicago', timezone],
    [
      'batches:',
      `clock: ${clock}\nregimes: { mine: [ { stage: climb, days: 60, start: "${start}" } ] }\nbatches:`,
    ],
    ['2026-02-16', sealed],
  );
  const from = day(sealed) * 86_400;
  const offsets = offsetsFor(timezone, utcSeconds(from - 86_400), utcSeconds(from + 90 * 86_400));
  const found = collect((report) => noteClockChanges(plan, offsets, report));
  return ofCode(found, 'clock-change').map(({ code, facts }) => [
    code,
    facts.date,
    facts.skipped,
    facts.until,
  ]);
}

describe('clock changes', () => {
  test.each([
    ['Europe/Lisbon', '2026-03-01', '01:30', [['clock-change', '2026-03-29', true, 120]]],
    ['Europe/Lisbon', '2026-03-01', '00:59', []],
    ['Europe/Lisbon', '2026-03-01', '01:00', [['clock-change', '2026-03-29', true, 120]]],
    ['Europe/Lisbon', '2026-03-01', '02:00', []],
    ['Europe/Lisbon', '2026-03-30', '01:30', []],
    ['Europe/Lisbon', '2026-10-01', '01:30', [['clock-change', '2026-10-25', false, 120]]],
    ['Australia/Lord_Howe', '2026-09-20', '02:15', [['clock-change', '2026-10-04', true, 150]]],
    ['Australia/Lord_Howe', '2026-09-20', '02:30', []],
    ['Australia/Lord_Howe', '2026-03-20', '01:45', [['clock-change', '2026-04-05', false, 120]]],
    ['Asia/Kolkata', '2026-03-01', '01:30', []],
  ])('%s from %s, light at %s', (timezone, sealed, start, expected) => {
    expect(notes(timezone, sealed, start)).toEqual(expected);
  });

  test('a steady clock has none', () => {
    expect(notes('Europe/Lisbon', '2026-03-01', '01:30', 'steady')).toEqual([]);
  });
});
