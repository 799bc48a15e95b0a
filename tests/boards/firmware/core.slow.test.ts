/**
 * The C core, built as WebAssembly, against the shared vectors and against the
 * TypeScript controller.
 */

import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../../firmware-sim/core/core-device.ts';
import { openSchedule, spanAt, traceTable } from '../../../firmware-sim/schedule.ts';
import { makeSimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../shared/assert.ts';
import { crc8, crc16, crc32 } from '../../../shared/crc.ts';
import { levelByte } from '../../../shared/table.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { scheduleTable } from '../../firmware-sim/controller/arbitrary.ts';
import { EMPTY, records } from '../../firmware-sim/controller/host.ts';
import { type Course, type CourseVector, follow, hex } from '../../firmware-sim/controller/vectors.ts';
import { BOARDS } from '../../support/boards.ts';
import { share } from '../../support/share.ts';
import { coreWith, levelsAt, WASM } from './core-table.ts';
import { scriptActs, scriptTable } from './script.ts';

const DAY = 86_400;

function vectors<Contents>(name: string): Contents {
  return JSON.parse(readFileSync(new URL(`../../../shared/vectors/${name}.json`, import.meta.url), 'utf8'));
}

describe('the core evaluates tables', () => {
  const { core, open } = coreWith();

  it('as the shared vectors have it', () => {
    const { tables } = vectors<{ tables: { table: string; levels: [number, string][] }[] }>('schedule');
    for (const { table, levels } of tables) {
      expect(open(Uint8Array.from(Buffer.from(table, 'hex')))).toBe(true);
      expect(levels.map(([utc]) => [utc, levelsAt(core, utc)])).toEqual(levels);
    }
  });

  const tables = share(150, 500);

  it(`as the TypeScript controller does, at every edge of ${tables} random tables`, () => {
    fc.assert(
      fc.property(scheduleTable, (table) => {
        const { bytes } = encodeTable(table);
        expect(open(bytes)).toBe(true);
        const from = (table.baseDay - 1) * DAY;
        let before = '';
        for (const { utc, levels } of traceTable(bytes, from, from + 20 * DAY)) {
          if (before !== '') expect(levelsAt(core, utc - 1)).toBe(before);
          before = hex(levels);
          expect(levelsAt(core, utc)).toBe(before);
        }
      }),
      { numRuns: tables },
    );
  });

  it('as the TypeScript controller does, minute by minute', () => {
    for (const table of fc.sample(scheduleTable, { numRuns: 12 })) {
      const { bytes } = encodeTable(table);
      const schedule = sure(openSchedule(bytes));
      open(bytes);
      const from = (table.baseDay - 1) * DAY;
      for (let utc = from; utc < from + 16 * DAY; utc += 60) {
        const output = 1 + (Math.floor(utc / 60) % 8);
        expect(core.levelAt(output, utcSeconds(utc))).toBe(levelByte(spanAt(schedule, output, utc).level));
      }
    }
  });

  it('only when they are whole: what the decoder refuses, the core refuses', () => {
    const flip = fc.record({
      table: scheduleTable,
      at: fc.nat(),
      byte: fc.integer({ min: 0, max: 255 }),
      reseal: fc.boolean(),
    });
    fc.assert(
      fc.property(flip, ({ table, at, byte, reseal }) => {
        const bytes = Uint8Array.from(encodeTable(table).bytes);
        bytes[at % (bytes.length - 4)] = byte;
        if (reseal)
          new DataView(bytes.buffer).setUint32(bytes.length - 4, crc32(bytes.subarray(0, -4)), true);
        expect(open(bytes)).toBe(decodeTable(bytes).ok);
      }),
      { numRuns: 1000 },
    );
  });
});

describe('the core', () => {
  const { core } = coreWith();
  it("has the CRC catalogue's check values", () => {
    const digits = Uint8Array.from(Buffer.from('123456789'));
    expect(core.crc8(digits)).toBe(0xa1);
    expect(core.crc16(digits)).toBe(0x4b37);
    expect(core.crc32(digits)).toBe(0xcbf43926);
    expect([crc8(digits), crc16(digits), crc32(digits)]).toEqual([0xa1, 0x4b37, 0xcbf43926]);
  });
});

/** Turnarounds may differ by less than a byte: levels, bytes and records may not. */
function comparable({ levels, sent, log, operations }: Course): Course {
  return { levels, sent, log, operations };
}

describe('the core as a controller', () => {
  it.each(vectors<{ courses: CourseVector[] }>('courses').courses)('follows: $name', (vector) => {
    const device = makeCoreDevice(WASM, {
      board: sure(BOARDS[vector.board]),
      utc: utcSeconds(vector.utc),
      clockRight: vector.clockRight,
      probe: vector.probe,
    });
    expect(comparable(follow(device, vector.acts, vector.until))).toEqual(comparable(vector.course));
  });

  it('writes the same records, bytes and levels as the TypeScript controller in random courses', () => {
    fc.assert(
      fc.property(scriptTable, scriptActs, fc.constantFrom(...Object.keys(BOARDS)), (table, script, id) => {
        const options = {
          board: sure(BOARDS[id]),
          utc: utcSeconds(script.utc),
          clockRight: script.clockRight,
          probe: 368,
          table: encodeTable(table).bytes,
        };
        const wanted = follow(makeSimulatedDevice(options), script.acts, script.until);
        const found = follow(makeCoreDevice(WASM, options), script.acts, script.until);
        expect(comparable(found)).toEqual(comparable(wanted));
      }),
      { numRuns: share(12, 105) },
    );
  });

  it('calls a day whole only if the wall clock, set back over midnight, never showed it before', () => {
    const { bytes: table } = encodeTable({
      ...EMPTY,
      baseDay: civilDay(9500),
      changes: [{ minute: 1500, quarters: -8 }],
    });
    const options = {
      board: sure(BOARDS['mega328-relay8']),
      utc: utcSeconds((9500 * 1440 + 1510) * 60),
      clockRight: true,
      probe: 368,
      table,
    };
    for (const device of [makeSimulatedDevice(options), makeCoreDevice(WASM, options)]) {
      device.run(100_000_000_000);
      const days = records(device).filter(({ type }) => type === 'proof');
      expect(days.map((one) => one.partial)).toEqual([true, true]);
    }
  });
});
