import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import type { LogRecord } from '../../../shared/log.ts';
import { civilDay } from '../../../shared/units.ts';
import { scheduleTable } from './arbitrary.ts';
import { ask, DAILY, DAY, flash, MONDAY, pass, records, START, startedDevice } from './host.ts';
import { NaiveTable } from './naive.ts';

type Proof = Extract<LogRecord, { type: 'proof' }>;
type Light = Extract<LogRecord, { type: 'light' }>;

describe("the day's records", () => {
  it('are what the naive evaluator finds second by second', () => {
    fc.assert(
      fc.property(scheduleTable, (drawn) => {
        const table = { ...drawn, baseDay: civilDay(MONDAY), initialQuarters: 0, changes: [] };
        const device = startedDevice(START + DAY - 40);
        flash(device, table);
        pass(device, DAY + 60);
        const naive = new NaiveTable(table);
        const trace: number[] = [];
        const on = Array<number>(8).fill(0);
        let before = '';
        for (let t = START + DAY; t < START + 2 * DAY; t++) {
          // Levels change at whole minutes plus lag only; in between the last ones stand.
          const levels: number[] = t % 60 < 8 ? naive.bytes(t) : JSON.parse(before);
          levels.forEach((level, output) => {
            if (level) on[output] = itemAt(on, output) + 1;
          });
          if (JSON.stringify(levels) === before) continue;
          before = JSON.stringify(levels);
          trace.push(t & 0xff, (t >> 8) & 0xff, (t >> 16) & 0xff, t >>> 24, ...levels);
        }
        const all = records(device);
        const proof = sure(all.filter((record): record is Proof => record.type === 'proof').at(-1));
        const light = sure(all.filter((record): record is Light => record.type === 'light').at(-1));
        expect(proof).toMatchObject({ day: MONDAY + 1, partial: false, crc: crc16(Uint8Array.from(trace)) });
        expect(light.onTime).toEqual(on.map((seconds) => Math.round(seconds / 360)));
      }),
      { numRuns: 12 },
    );
  });

  it('count harmless resets, and what was dark meanwhile', () => {
    const device = startedDevice(START + DAY - 400);
    flash(device, DAILY);
    pass(device, 400 + 10 * 3600);
    for (let count = 0; count < 100; count++) {
      device.openPort();
      pass(device, 2);
    }
    pass(device, DAY);
    const [light, proof] = records(device).slice(-2);
    expect(proof).toMatchObject({ type: 'proof', day: MONDAY + 1, resets: 100, partial: false });
    // 200 s dark of 12 h, and output 8 a little longer: 119.4 and 119.4 units.
    expect(light).toMatchObject({ type: 'light', onTime: Array(8).fill(119) });
    expect(records(device).filter(({ type }) => type === 'boot')).toHaveLength(1);
  });

  it('show a hand switching in the trace from the second after it on', () => {
    const device = startedDevice(START + DAY - 100);
    flash(device, { ...DAILY, bindings: [] });
    pass(device, 100 + 3600.5);
    const at = device.utc;
    ask(device, [5, 0, 0, 0xff, 0]);
    pass(device, DAY);
    const proof = records(device)
      .filter(({ type }) => type === 'proof')
      .at(-1);
    const entry = (t: number, level: number): number[] => [
      t & 0xff,
      (t >> 8) & 0xff,
      (t >> 16) & 0xff,
      t >>> 24,
      level,
      ...Array<number>(7).fill(0),
    ];
    const hand = records(device).find(({ type }) => type === 'hand');
    expect(hand).toMatchObject({ time: at });
    const trace = [...entry(START + DAY, 0), ...entry(at + 1, 255), ...entry(at + 600, 0)];
    expect(proof).toMatchObject({ crc: crc16(Uint8Array.from(trace)) });
  });
});
