/**
 * The battery clock's registers (DS3231's data sheet: time 00–06, alarms 07–0D,
 * control 0E, status 0F with the stopped flag in bit 7), for the clock in the
 * world and for the controller that reads it.
 *
 * Always holds: what `timeRegisters` writes, `timeFromRegisters` reads back.
 */

import { itemAt } from '../shared/assert.ts';
import { dayFromYmd, ymdFromDay } from '../shared/civil.ts';
import { civilDay } from '../shared/units.ts';

/** Where the parts begin. */
export const CLOCK = { time: 0x00, alarm: 0x07, control: 0x0e, status: 0x0f } as const;
/** Bit of the status register: the clock has stood still since the time was set. */
export const STOPPED_FLAG = 0x80;
/** Registers 00–12. */
export const CLOCK_REGISTERS = 0x13;
const DAY = 86_400;

const bcd = (value: number): number => ((Math.floor(value / 10) << 4) | (value % 10)) & 0xff;
const fromBcd = (byte: number): number => 10 * (byte >> 4) + (byte & 15);

/** The seven time registers of a UTC second from 2000, 24-hour form, Monday as weekday 1. */
export function timeRegisters(utc: number): Uint8Array {
  const day = Math.floor(utc / DAY);
  const left = utc - day * DAY;
  const { year, month, day: date } = ymdFromDay(civilDay(day));
  return Uint8Array.of(
    bcd(left % 60),
    bcd(Math.floor(left / 60) % 60),
    bcd(Math.floor(left / 3600)),
    ((day + 5) % 7) + 1,
    bcd(date),
    bcd(month),
    bcd(year % 100),
  );
}

/** UTC second from 2000 of seven time registers; undefined when they are no date. */
export function timeFromRegisters(registers: ArrayLike<number>): number | undefined {
  const value = (index: number): number => fromBcd(itemAt(registers, index));
  const day = dayFromYmd(2000 + value(6), fromBcd(itemAt(registers, 5) & 0x1f), value(4));
  if (day === undefined) return undefined;
  return day * DAY + value(2) * 3600 + value(1) * 60 + value(0);
}
