/**
 * The battery clock and its EEPROM as parts on the two-wire bus (DS3231 and
 * AT24C32 types, their data sheets).
 *
 * Always holds: the clock's time is latched when it is read; a page write
 * wraps within its 32 bytes and the memory does not answer while it lasts.
 */

import { itemAt } from '../../../shared/assert.ts';
import { LOG_BYTES, PAGE_BYTES } from '../../../shared/log.ts';
import { CLOCK, CLOCK_REGISTERS } from '../../clock-registers.ts';
import { clockRegisters, writeClockRegisters } from '../../world/battery-clock.ts';
import { enqueue, settle } from '../../world/memory.ts';
import type { World } from '../../world/world.ts';
import type { TwiPart } from './twi.ts';

const CLOCK_ADDRESS = 0x68;
const MEMORY_ADDRESS = 0x57;

/** The battery clock; `set` is called when its time was written. */
export function clockPart(world: World, now: () => number, set: () => void): TwiPart {
  let pointer = 0;
  let pointed = false;
  let latched: Uint8Array = new Uint8Array(CLOCK_REGISTERS);
  const written: number[] = [];
  let from = 0;
  const flush = (): void => {
    const known = written.length > 0 && from !== CLOCK.control && from <= CLOCK.status;
    if (known) writeClockRegisters(world.clock, from, written, now());
    if (known && from === CLOCK.time) set();
    written.length = 0;
  };
  return {
    address: CLOCK_ADDRESS,
    select: (read) => {
      if (world.around.troubles['clock silent']) return false;
      if (read) latched = clockRegisters(world.clock, now());
      else pointed = false;
      return true;
    },
    write: (byte) => {
      if (!pointed) {
        pointer = byte;
        from = byte;
        pointed = true;
        return;
      }
      written.push(byte);
      pointer = (pointer + 1) % CLOCK_REGISTERS;
    },
    read: () => {
      const byte = latched[pointer] ?? 0;
      pointer = (pointer + 1) % CLOCK_REGISTERS;
      return byte;
    },
    stop: flush,
  };
}

/** The log memory. */
export function memoryPart(world: World, now: () => number): TwiPart {
  const { log } = world;
  let pointer = 0;
  let heads = 0;
  let page: number[] | undefined;
  let place = 0;
  return {
    address: MEMORY_ADDRESS,
    select: (read) => {
      settle(log, now());
      if (world.around.troubles['log silent'] || log.queue.length > 0) return false;
      if (!read) heads = 0;
      return true;
    },
    write: (byte) => {
      if (heads < 2) {
        pointer = ((pointer << 8) | byte) % LOG_BYTES;
        heads++;
        return;
      }
      const at = pointer - (pointer % PAGE_BYTES);
      page ??= Array.from(log.physical.subarray(at, at + PAGE_BYTES));
      place = at;
      page[pointer % PAGE_BYTES] = byte;
      pointer = at + ((pointer + 1) % PAGE_BYTES);
    },
    read: () => {
      const byte = itemAt(log.physical, pointer);
      pointer = (pointer + 1) % LOG_BYTES;
      return byte;
    },
    stop: () => {
      if (page) enqueue(log, place, page, now());
      page = undefined;
    },
  };
}
