import { describe, expect, it } from 'vitest';
import type { ZoneOffsets } from '../../../../compiler/plan/utc-offsets.ts';
import type { Table } from '../../../../shared/table.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { cardPage, timerRows } from '../../../../src/answers/visits/card.ts';
import { day, planOf, sampleText } from './plan.ts';

const BASE = day('2026-03-26');
// Europe/Lisbon: UTC, and UTC+1 from 29 March 2026, 01:00 UTC.
const CHANGE_MINUTE = 3 * 1440 + 60;
const offsets: ZoneOffsets = {
  initialQuarters: 0,
  changes: [{ at: utcSeconds(BASE * 86_400 + CHANGE_MINUTE * 60), quarters: 4 }],
};
const table: Table = {
  baseDay: BASE,
  digest: 1,
  initialQuarters: 0,
  changes: [{ minute: CHANGE_MINUTE, quarters: 4 }],
  patterns: [
    { start: 480, continuous: false, segments: [{ length: 720, level: 16 }] },
    { start: 1320, continuous: false, segments: [{ length: 240, level: 8 }] },
  ],
  tracks: [
    [{ kind: 'cycle', days: 8, period: 2, patterns: [0, 63] }],
    [{ kind: 'plain', days: 2, pattern: 1 }],
  ],
  bindings: [
    { outputs: 0b0001, track: 0, startDay: 0, steadyQuarters: undefined },
    { outputs: 0b1000, track: 1, startDay: 0, steadyQuarters: undefined },
  ],
  limits: undefined,
  visits: undefined,
  pulse: undefined,
  room: undefined,
};
const { bytes } = encodeTable(table);

describe('the timer settings', () => {
  it('are the wall hours of each run of days, over a clock change too', () => {
    const on = [{ from: 480, until: 1200, level: 255 }];
    expect(timerRows(bytes, 1, offsets, BASE, 8)).toEqual([
      { first: BASE, last: BASE + 1, stretches: on },
      { first: BASE + 2, last: BASE + 3, stretches: [] },
      { first: BASE + 4, last: BASE + 5, stretches: on },
      { first: BASE + 6, last: BASE + 7, stretches: [] },
    ]);
  });

  it('cut light that crosses midnight at midnight, as a timer does', () => {
    expect(timerRows(bytes, 4, offsets, BASE, 4).map((row) => row.stretches)).toEqual([
      [{ from: 1320, until: 1440, level: 128 }],
      [
        { from: 0, until: 120, level: 128 },
        { from: 1320, until: 1440, level: 128 },
      ],
      [{ from: 0, until: 120, level: 128 }],
      [],
    ]);
  });
});

it('the card names lamps, sides, hours and what to do', () => {
  const plan = planOf(sampleText('pantry'));
  const text = cardPage({
    plan,
    planFile: 'pantry.plan.yaml',
    tables: [bytes],
    offsets,
    from: BASE,
    until: day('2026-04-03'),
  });
  for (const words of [
    'A-left',
    '26 Mar – 27 Mar',
    '08:00–20:00',
    '22:00–24:00 at 50 %',
    'leanward flash pantry.plan.yaml',
  ]) {
    expect(text).toContain(words);
  }
  expect(text).not.toMatch(/<script|https?:/);
});
