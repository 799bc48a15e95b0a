/**
 * The battery clock (DS3231 type): UTC in BCD registers, a stopped flag, alarm
 * registers that serve as scratch, and a crystal that drifts.
 *
 * Always holds: the seconds begin afresh when the time is set; the flag stays
 * until it is cleared.
 */

import { itemAt } from '../../shared/assert.ts';
import {
  CLOCK,
  CLOCK_REGISTERS,
  STOPPED_FLAG,
  timeFromRegisters,
  timeRegisters,
} from '../clock-registers.ts';

const ALARM_BYTES = 7;
const SECOND = 1_000_000;

/** The clock as plain data. `clockMicros` was its time, in µs from 2000, at virtual micros `setAt`. */
export interface BatteryClock {
  clockMicros: number;
  setAt: number;
  /** Parts per million by which it runs fast. */
  driftPpm: number;
  stopped: boolean;
  /** Registers 07–0D. */
  readonly alarm: number[];
  /** The battery is dead: without mains it loses everything. */
  batteryDead: boolean;
}

/** A clock that runs right at UTC second `utc` when the world begins, its flag cleared or not. */
export function runningClock(utc: number, driftPpm: number, stopped: boolean): BatteryClock {
  return {
    clockMicros: utc * SECOND,
    setAt: 0,
    driftPpm,
    stopped,
    alarm: Array<number>(ALARM_BYTES).fill(0),
    batteryDead: false,
  };
}

/** Power returns to a clock whose battery was dead: registers as after power-on. */
export function loseTime(clock: BatteryClock, now: number): void {
  clock.clockMicros = 0;
  clock.setAt = now;
  clock.stopped = true;
  clock.alarm.fill(0);
}

/** Its time in µs from 2000 at virtual micros `now`. */
export function clockMicrosAt(clock: BatteryClock, now: number): number {
  const gone = now - clock.setAt;
  return clock.clockMicros + gone + Math.floor((gone * clock.driftPpm) / 1_000_000);
}

/** Its whole second at `now`. */
export function clockSecondAt(clock: BatteryClock, now: number): number {
  return Math.floor(clockMicrosAt(clock, now) / SECOND);
}

/** The first virtual microsecond at which its whole second is `second` or more. */
export function microsOfSecond(clock: BatteryClock, second: number): number {
  const want = second * SECOND;
  const rate = 1 + clock.driftPpm / 1_000_000;
  let micros = clock.setAt + Math.floor((want - clock.clockMicros) / rate);
  while (clockMicrosAt(clock, micros) >= want) micros--;
  while (clockMicrosAt(clock, micros) < want) micros++;
  return micros;
}

/** Registers 00–12 at `now`, as read over the two-wire bus. */
export function clockRegisters(clock: BatteryClock, now: number): Uint8Array {
  const registers = new Uint8Array(CLOCK_REGISTERS);
  registers.set(timeRegisters(clockSecondAt(clock, now)), CLOCK.time);
  registers.set(clock.alarm, CLOCK.alarm);
  registers[CLOCK.status] = clock.stopped ? STOPPED_FLAG : 0;
  return registers;
}

/** Writes registers from `at` on; control, aging and temperature are not modelled. */
export function writeClockRegisters(
  clock: BatteryClock,
  at: number,
  bytes: ArrayLike<number>,
  now: number,
): void {
  if (at === CLOCK.time) {
    clock.clockMicros = (timeFromRegisters(bytes) ?? 0) * SECOND;
    clock.setAt = now;
  } else if (at === CLOCK.status) {
    // The flag can be cleared by a write, never set.
    clock.stopped = clock.stopped && (itemAt(bytes, 0) & STOPPED_FLAG) !== 0;
  } else {
    for (let index = 0; index < bytes.length; index++)
      clock.alarm[at - CLOCK.alarm + index] = itemAt(bytes, index);
  }
}
