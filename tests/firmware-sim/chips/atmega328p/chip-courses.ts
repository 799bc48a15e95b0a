/**
 * How the firmware as machine code is held to the shared courses and to the
 * TypeScript controller: levels by the second, every byte of the log.
 */

import { readFileSync } from 'node:fs';
import fc from 'fast-check';
import { expect } from 'vitest';
import { makeSimulatedDevice } from '../../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../../shared/assert.ts';
import type { Board } from '../../../../shared/board.ts';
import { decodeRecord, type LogRecord, RECORD_BYTES } from '../../../../shared/log.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { scriptActs, scriptTable } from '../../../boards/firmware/script.ts';
import { BOARDS } from '../../../support/boards.ts';
import { type Act, type Course, type CourseVector, follow } from '../../controller/vectors.ts';
import { chip } from './chip.ts';

/** The shared courses. */
export const { courses } = JSON.parse(
  readFileSync(new URL('../../../../shared/vectors/courses.json', import.meta.url), 'utf8'),
) as { courses: CourseVector[] };

/** Records of a course's log, by place: bytes, but of a clock setting what it says. */
function logOf({ log }: Course): (string | LogRecord)[][] {
  return log.map(([page, text]) => {
    const halves = [text.slice(0, 2 * RECORD_BYTES), text.slice(2 * RECORD_BYTES)];
    return [
      String(page),
      ...halves.map((half) => {
        const record = decodeRecord(Uint8Array.from(Buffer.from(half, 'hex')));
        return record?.type === 'clockSet' ? record : half;
      }),
    ];
  });
}

/**
 * A clock's second begins when it is set, and the chip takes milliseconds for
 * the request: what it says about the old time may differ by as much.
 */
function expectLogs(found: Course, wanted: Course): void {
  const seen = logOf(found);
  const rounded = logOf(wanted).map((page, at) =>
    page.map((half, which) => {
      const own = seen[at]?.[which];
      if (typeof half === 'string' || own === undefined || typeof own === 'string') return half;
      if (half.type !== 'clockSet' || own.type !== 'clockSet') return half;
      const apart = 256 * (half.forward - own.forward) - (half.oldSub - own.oldSub);
      return Math.abs(apart) <= 25 ? own : half;
    }),
  );
  expect(seen).toEqual(rounded);
}

/** Levels as pins show them: a relay knows only off and on. */
function pinLevels({ levels }: Course, board: Board): [number, string][] {
  let before = '';
  return levels
    .map(([utc, text]): [number, string] => {
      const pairs = text.match(/../g) ?? [];
      const shown = pairs.map((pair, index) =>
        board.outputs[index]?.kind !== 'dim' && pair !== '00' ? 'ff' : pair,
      );
      return [utc, shown.join('')];
    })
    .filter(([, text]) => {
      const changed = text !== before;
      before = text;
      return changed;
    });
}

function expectSame(found: Course, wanted: Course, board: Board): void {
  expectLogs(found, wanted);
  expect(found.levels).toEqual(pinLevels(wanted, board));
  expect(found.operations).toEqual(wanted.operations);
}

/** Acts whose records carry what the chip can only measure roughly. */
const isExact = (act: Act): boolean => !('trouble' in act && act.trouble === 'supply low');

/** Holds the chip to a shared course. */
export function followCourse(vector: CourseVector): void {
  const device = chip({ id: vector.board, utc: utcSeconds(vector.utc), probe: vector.probe });
  const until = Math.min(vector.until, 260_000_000_000 + (vector.acts.at(-1)?.at ?? 0));
  expectSame(follow(device, vector.acts, until), vector.course, sure(BOARDS[vector.board]));
  expect(device.machine.eeprom.mistakes).toBe(0);
}

/** Holds the chip to the TypeScript controller in so many random courses. */
export function followRandomCourses(runs: number): void {
  fc.assert(
    fc.property(scriptTable, scriptActs, fc.constantFrom(...Object.keys(BOARDS)), (table, script, id) => {
      const acts = script.acts.filter(isExact).filter(({ at }) => at < 15_000_000_000);
      const until = 20_000_500_000;
      const options = {
        utc: utcSeconds(script.utc),
        clockRight: script.clockRight,
        probe: 368,
        table: encodeTable(table).bytes,
      };
      const wanted = follow(makeSimulatedDevice({ board: sure(BOARDS[id]), ...options }), acts, until);
      const device = chip({ id, ...options });
      expectSame(follow(device, acts, until), wanted, sure(BOARDS[id]));
      expect(device.machine.eeprom.mistakes).toBe(0);
    }),
    { numRuns: runs, endOnFailure: true },
  );
}
