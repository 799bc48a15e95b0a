/**
 * The core and the battery clock's registers (DS3231 type; its data sheet's
 * register map): 00-06 second, minute, hour, weekday, day, month, year in BCD,
 * status 0F with bit 7 set once the oscillator stopped. The calendar beside it
 * is JavaScript's own Date.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type CoreHal, loadCore, TICK } from '../../../firmware-sim/core/core.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import { HOLDING, SILENCE, STATUS, TIME_FLAG } from '../../../shared/registers.ts';
import { WASM } from './core-table.ts';

const EPOCH = Date.UTC(2000, 0, 1);
const LAST = (Date.UTC(2099, 11, 31, 23, 59, 50) - EPOCH) / 1000;
const STATUS_REGISTER = 0x0f;
const STOPPED = 0x80;

/** The two digits of a number below 100, one in each half of a byte. */
const bcd = (value: number): number => Number.parseInt(String(value), 16);

/** Registers 00-06 at `utc` seconds from 2000, by JavaScript's calendar; weekdays count from Monday, 1. */
function registersAt(utc: number): number[] {
  const date = new Date(EPOCH + utc * 1000);
  const weekday = date.getUTCDay() === 0 ? 7 : date.getUTCDay();
  return [
    date.getUTCSeconds(),
    date.getUTCMinutes(),
    date.getUTCHours(),
    weekday,
    date.getUTCDate(),
    date.getUTCMonth() + 1,
    date.getUTCFullYear() - 2000,
  ].map(bcd);
}

/** A started core whose clock holds these registers; what it writes to the clock is kept, in order. */
function started(registers: readonly number[], status = 0) {
  const clock = new Uint8Array(0x13);
  clock.set(registers);
  clock[STATUS_REGISTER] = status;
  const written: { register: number; bytes: number[] }[] = [];
  const sent: number[] = [];
  const log = new Uint8Array(4096).fill(0xff);
  const eeprom = new Uint8Array(1024).fill(0xff);
  const hal: CoreHal = {
    outputs: 8,
    boardNumber: 1,
    boardId: 'test',
    eepromRead: (at) => itemAt(eeprom, at),
    eepromWrite: (at, value) => {
      eeprom[at] = value;
    },
    eepromBusy: () => false,
    idle: () => undefined,
    clockRead: (register, count) => clock.subarray(register, register + count),
    clockWrite: (register, bytes) => {
      written.push({ register, bytes: [...bytes] });
      clock.set(bytes, register);
      return true;
    },
    logRead: (at, count) => log.subarray(at, at + count),
    logWrite: (at, bytes) => {
      log.set(bytes, at);
      return true;
    },
    busHeld: () => false,
    tickTake: () => TICK.none,
    subSecond: () => 0,
    pressTake: () => 0,
    output: () => undefined,
    signals: () => undefined,
    probe: () => undefined,
    supply: () => 5000,
    supplyNeeded: 4500,
    bootCause: () => 1,
    send: (byte) => {
      sent.push(byte);
    },
  };
  const core = loadCore(WASM, hal);
  core.forget();
  core.start();
  const ask = (...contents: number[]): number[] => {
    const frame = [1, ...contents];
    const crc = crc16(Uint8Array.from(frame));
    for (const [at, byte] of [...frame, crc & 0xff, crc >> 8].entries())
      core.receive(byte, at === 0 ? SILENCE.long : SILENCE.none);
    do core.poll();
    while (core.busy);
    return sent.splice(0);
  };
  const statusWord = (register: number): number => {
    const [, , , high = 0, low = 0] = ask(4, 0, register, 0, 1);
    return high * 256 + low;
  };
  return {
    written,
    clock,
    utc: () => statusWord(STATUS.seconds) * 65_536 + statusWord(STATUS.seconds + 1),
    flags: () => statusWord(STATUS.timeFlags),
    set: (utc: number) => {
      const [a, b] = [Math.floor(utc / 65_536), utc % 65_536];
      ask(16, HOLDING.clock >> 8, HOLDING.clock & 0xff, 0, 3, 6, a >> 8, a & 255, b >> 8, b & 255, 0, 0);
    },
  };
}

const anySecond = fc.integer({ min: 400 * 86_400, max: LAST });

describe("the battery clock's registers", () => {
  it('are read as the data sheet lays them out', () => {
    // 23:59:58 on Sunday, 2031-12-28, and the leap day of 2096.
    expect(started([0x58, 0x59, 0x23, 0x07, 0x28, 0x12, 0x31]).utc()).toBe(
      (Date.UTC(2031, 11, 28, 23, 59, 58) - EPOCH) / 1000,
    );
    expect(started([0x00, 0x30, 0x06, 0x03, 0x29, 0x02, 0x96]).utc()).toBe(
      (Date.UTC(2096, 1, 29, 6, 30) - EPOCH) / 1000,
    );
  });

  it('give any second of the century', () => {
    fc.assert(
      fc.property(anySecond, (utc) => {
        expect(started(registersAt(utc)).utc()).toBe(utc);
      }),
      { numRuns: 60 },
    );
  });

  it('are written so when the host sets the time, and the stopped flag is cleared after', () => {
    fc.assert(
      fc.property(anySecond, (utc) => {
        const one = started([0, 0, 0, 6, 1, 1, 0], STOPPED);
        expect(one.flags() & TIME_FLAG.known).toBe(0);
        one.written.length = 0;
        one.set(utc);
        const time = one.written.findIndex(({ register }) => register === 0);
        const flag = one.written.findIndex(({ register }) => register === STATUS_REGISTER);
        expect(one.written[time]?.bytes).toEqual(registersAt(utc));
        expect(flag).toBeGreaterThan(time);
        expect(itemAt(one.clock, STATUS_REGISTER) & STOPPED).toBe(0);
        expect(one.flags()).toBe(TIME_FLAG.known);
      }),
      { numRuns: 30 },
    );
  });

  it('that hold no date, or a stopped flag, are not trusted', () => {
    for (const wrong of [
      [0x5a, 0, 0, 1, 1, 1, 0x26],
      [0, 0x60, 0, 1, 1, 1, 0x26],
      [0, 0, 0x24, 1, 1, 1, 0x26],
      [0, 0, 0, 1, 0x29, 0x02, 0x27],
      [0, 0, 0, 1, 0x31, 0x11, 0x26],
      [0, 0, 0, 1, 1, 0x13, 0x26],
      [0, 0, 0, 1, 1, 0, 0x26],
      [0, 0, 0, 1, 0, 1, 0x26],
      [0, 0, 0, 1, 1, 1, 0xa0],
    ]) {
      expect(started(wrong).flags() & TIME_FLAG.known, wrong.join(' ')).toBe(0);
    }
    expect(started(registersAt(800_000_000), STOPPED).flags() & TIME_FLAG.known).toBe(0);
    expect(started(registersAt(800_000_000)).flags()).toBe(TIME_FLAG.known);
  });
});
