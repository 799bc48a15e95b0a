import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import {
  nextChange,
  openSchedule,
  type Schedule,
  scheduleDayAt,
  scheduleInstant,
  targetsAt,
  traceTable,
} from '../../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import type { Table } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay } from '../../../shared/units.ts';
import { emptyTable } from '../../support/empty-table.ts';
import { scheduleTable } from './arbitrary.ts';
import { NaiveTable } from './naive.ts';

const DAY = 86_400;
const open = (table: Table): Schedule => sure(openSchedule(encodeTable(table).bytes));

const plain: Table = emptyTable(9500);

describe('evaluating a table in place', () => {
  it('equals the naive evaluator at random seconds and around every edge it reports', () => {
    fc.assert(
      fc.property(
        scheduleTable,
        fc.array(fc.integer({ min: -3 * DAY, max: 16 * DAY }), { minLength: 20, maxLength: 20 }),
        (table, seconds) => {
          const schedule = open(table);
          const naive = new NaiveTable(table);
          for (const second of seconds) {
            const t = table.baseDay * DAY + second;
            const next = nextChange(schedule, t);
            expect([...targetsAt(schedule, t)]).toEqual(naive.bytes(t));
            if (!Number.isFinite(next)) continue;
            expect([...targetsAt(schedule, next - 1)]).toEqual(naive.bytes(next - 1));
            expect([...targetsAt(schedule, next)]).toEqual(naive.bytes(next));
          }
        },
      ),
      { numRuns: 300 },
    );
  });

  it('changes nowhere between the changes of its trace', () => {
    fc.assert(
      fc.property(scheduleTable, fc.integer({ min: 0, max: 59 }), (table, phase) => {
        const { bytes } = encodeTable(table);
        const from = (table.baseDay - 1) * DAY;
        const until = (table.baseDay + 14) * DAY;
        const trace = [...traceTable(bytes, from, until)];
        const naive = new NaiveTable(table);
        let at = 0;
        // Every 61st second from a random one: each second of the minute comes round.
        for (let t = from + phase; t < until; t += 61) {
          while (at + 1 < trace.length && itemAt(trace, at + 1).utc <= t) at++;
          expect([...itemAt(trace, at).levels]).toEqual(naive.bytes(t));
        }
      }),
      { numRuns: 12 },
    );
  });

  it('starts a block at the change when its start is skipped, and lasts its elapsed length', () => {
    // Europe/Lisbon 2026-03-29: 01:00 WET becomes 02:00 WEST at 01:00 UTC (IANA tz database).
    const table: Table = {
      ...plain,
      baseDay: civilDay(9583), // 2026-03-28
      changes: [{ minute: 1440 + 60, quarters: 4 }],
      patterns: [{ start: 90, continuous: false, segments: [{ length: 120, level: 16 }] }],
      tracks: [[{ kind: 'plain', days: 3, pattern: 0 }]],
      bindings: [{ outputs: 1, track: 0, startDay: 0, steadyQuarters: undefined }],
    };
    const day = 9583 * DAY;
    const changes = [...traceTable(encodeTable(table).bytes, day, day + 3 * DAY)].slice(1);
    expect(changes.map(({ utc, levels }) => [(utc - day) / 60, levels[0]])).toEqual([
      [90, 255],
      [210, 0],
      [1440 + 60, 255],
      [1440 + 180, 0],
      [2880 + 30, 255],
      [2880 + 150, 0],
    ]);
  });

  it('lets a late block reach into the day after the next when the clock goes forward', () => {
    const table: Table = {
      ...plain,
      changes: [{ minute: 2000, quarters: 4 }],
      patterns: [{ start: 1439, continuous: false, segments: [{ length: 1440, level: 16 }] }],
      tracks: [[{ kind: 'plain', days: 1, pattern: 0 }]],
      bindings: [{ outputs: 1, track: 0, startDay: 0, steadyQuarters: undefined }],
    };
    const day = 9500 * DAY;
    const changes = [...traceTable(encodeTable(table).bytes, day, day + 4 * DAY)].slice(1);
    // It ends at 00:59 by the clock of the second day after its own.
    expect(changes.map(({ utc, levels }) => [(utc - day) / 60, levels[0]])).toEqual([
      [1439, 255],
      [2879, 0],
    ]);
  });

  it('lets output n follow n − 1 seconds late', () => {
    const table: Table = {
      ...plain,
      patterns: [{ start: 480, continuous: false, segments: [{ length: 60, level: 8 }] }],
      tracks: [[{ kind: 'plain', days: 1, pattern: 0 }]],
      bindings: [{ outputs: 0b10000101, track: 0, startDay: 0, steadyQuarters: undefined }],
    };
    const start = 9500 * DAY + 480 * 60;
    const trace = [...traceTable(encodeTable(table).bytes, start - 1, start + 60)];
    expect(trace.map(({ utc, levels }) => [utc - start, [...levels]])).toEqual([
      [-1, [0, 0, 0, 0, 0, 0, 0, 0]],
      [0, [128, 0, 0, 0, 0, 0, 0, 0]],
      [2, [128, 0, 128, 0, 0, 0, 0, 0]],
      [7, [128, 0, 128, 0, 0, 0, 0, 128]],
    ]);
  });

  it('gives civil days and first instants, UTC without a table', () => {
    const lord: Table = { ...plain, initialQuarters: 44, changes: [{ minute: 900, quarters: 42 }] };
    const schedule = open(lord);
    const change = 9500 * DAY + 900 * 60;
    expect(scheduleDayAt(schedule, change - 1)).toBe(9501);
    // 02:00 goes back to 01:30, so 01:45 is read twice: the first pass counts.
    expect(scheduleInstant(schedule, 9501, 105)).toBe(change - 900);
    expect(scheduleInstant(schedule, 9501, 120)).toBe(change + 1800);
    expect(scheduleInstant(undefined, 5, 1)).toBe(5 * DAY + 60);
    expect(scheduleDayAt(undefined, 5 * DAY - 1)).toBe(4);
  });

  it('refuses bytes that are no table', () => {
    const { bytes } = encodeTable(plain);
    expect(openSchedule(bytes.slice(1))).toBeUndefined();
    bytes[9] = itemAt(bytes, 9) ^ 1;
    expect(openSchedule(bytes)).toBeUndefined();
    expect(() => [...traceTable(bytes, 0, 1)]).toThrow('not a schedule table');
  });
});
