import { describe, expect, it } from 'vitest';
import type { UtcOffsets } from '../../../../compiler/plan/utc-offsets.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { itemAt } from '../../../../shared/assert.ts';
import type { Table } from '../../../../shared/table.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { cardPage } from '../../../../src/answers/visits/card.ts';
import { timerRows } from '../../../../src/answers/visits/timer-rows.ts';
import { day, planOf, sampleText } from './plan.ts';

const BASE = day('2026-03-26');
// Europe/Lisbon: UTC, and UTC+1 from 29 March 2026, 01:00 UTC.
const CHANGE_MINUTE = 3 * 1440 + 60;
const offsets: UtcOffsets = {
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

  it('say light over midnight as one stretch, as a timer is set', () => {
    expect(timerRows(bytes, 4, offsets, BASE, 4)).toEqual([
      { first: BASE, last: BASE + 1, stretches: [{ from: 1320, until: 1560, level: 128 }] },
      { first: BASE + 2, last: BASE + 3, stretches: [] },
    ]);
  });

  it('leave out what nobody would set, and join what is nearly one', () => {
    const patterns = [
      {
        start: 480,
        continuous: false,
        segments: [
          { length: 690, level: 16 },
          { length: 15, level: 0 },
          { length: 15, level: 16 },
        ],
      },
      { start: 1185, continuous: false, segments: [{ length: 15, level: 16 }] },
      { start: 0, continuous: true, segments: [{ length: 1440, level: 16 }] },
    ];
    const tracks = [0, 1, 2].map((pattern) => [{ kind: 'plain' as const, days: 3, pattern }]);
    const bindings = [0, 1, 2].map((track) => ({
      ...{ outputs: 1 << track, track, startDay: 0, steadyQuarters: undefined },
    }));
    const odd = encodeTable({ ...table, patterns, tracks, bindings }).bytes;
    const rows = (output: number) =>
      timerRows(odd, output, offsets, BASE, 3).map(({ stretches }) => stretches);
    expect(rows(1)).toMatchObject([[{ from: 480, until: 1200 }]]);
    expect(rows(2)).toEqual([[]]);
    expect(rows(3)).toEqual([[{ from: 0, until: 1440, level: 255 }]]);
  });
});

const cardOf = (plan: ReturnType<typeof planOf>, from: string, until: string): string =>
  cardPage({
    ...{ plan, planFile: 'pantry.plan.yaml', tables: plan.controllers.map(() => bytes), offsets },
    ...{ visits: visitOccurrences(plan), from: day(from), until: day(until) },
  });

it('the card names lamps, sides, hours and what to do', () => {
  const plan = planOf(sampleText('pantry'));
  const text = cardOf(plan, '2026-03-26', '2026-04-03');
  for (const words of [
    'A-left',
    '26 Mar – 27 Mar',
    '08:00–20:00',
    '22:00–02:00 next day at 50 %',
    'leanward flash pantry.plan.yaml --port PORT',
    'Mon 2026-03-30 18:00: ',
  ]) {
    expect(text).toContain(words);
  }
  expect(text).not.toMatch(/<script|https?:/);
});

it('every command of the card names its controller where there are several', () => {
  const plan = planOf(sampleText('pantry'));
  const two = {
    ...plan,
    controllers: ['left', 'right'].map((name, n) => ({ ...itemAt(plan.controllers, 0), name, unit: n + 1 })),
  };
  const commands = [...cardOf(two, '2026-03-26', '2026-04-03').matchAll(/<code>(.*?)<\/code>/g)].map(
    (one) => one[1],
  );
  expect(commands).toEqual(
    ['left', 'right'].flatMap((name) =>
      ['log', 'flash', 'lamps'].map(
        (word) =>
          `leanward ${word} pantry.plan.yaml --controller ${name} --port PORT${word === 'flash' && name === 'right' ? ' --unit 1' : ''}`,
      ),
    ),
  );
});

it('a plan that is over says so, and gives no range of days', () => {
  const text = cardOf(planOf(sampleText('pantry')), '2026-11-28', '2026-06-29');
  expect(text).toContain('On 2026-11-28 this plan is over');
  expect(text).not.toContain('Valid');
});
