/**
 * What time it is: the rules of a start, the last-alive minute, and setting
 * the clock's registers (behaviour.md, section 5).
 *
 * Always holds: `known` and `estimated` tell what the controller's seconds are
 * worth; the stopped flag is cleared only when the host has set the time.
 */

import { itemAt } from '../../shared/assert.ts';
import { crc8 } from '../../shared/crc.ts';
import { CLOCK, STOPPED_FLAG, timeFromRegisters, timeRegisters } from '../world/battery-clock.ts';
import { oldestSequence, recordAt } from './log-ring.ts';
import type { Controller } from './state.ts';

const DAY_SECONDS = 86_400;
/** A stopped clock that is further ahead of the last known time than this is not believed. */
const BELIEVED_SECONDS = 40 * DAY_SECONDS;
const ALIVE_BYTES = 4;
/** Earlier seconds were counted from 0 with time unknown. */
const COUNTED_SECONDS = 366 * DAY_SECONDS;

/** The last-alive second in the alarm registers, or undefined. */
export function lastAlive(controller: Controller): number | undefined {
  const registers = controller.hardware.readClock();
  const scratch = registers?.subarray(CLOCK.alarm, CLOCK.alarm + ALIVE_BYTES);
  if (!registers || !scratch || crc8(scratch) !== registers[CLOCK.alarm + ALIVE_BYTES]) return undefined;
  const second = new DataView(scratch.buffer, scratch.byteOffset).getUint32(0, true);
  return second === 0 ? undefined : second;
}

/** Writes the last-alive minute. */
export function writeAlive(controller: Controller, t: number): void {
  const bytes = new Uint8Array(ALIVE_BYTES + 1);
  new DataView(bytes.buffer).setUint32(0, t, true);
  bytes[ALIVE_BYTES] = crc8(bytes.subarray(0, ALIVE_BYTES));
  controller.hardware.writeClock(CLOCK.alarm, bytes);
}

/** The time of the newest record that can be read and was not merely counted. */
function lastLogged(controller: Controller): number | undefined {
  const oldest = oldestSequence(controller);
  for (let sequence = controller.state.newest; oldest > 0 && sequence >= oldest; sequence--) {
    const record = recordAt(controller, sequence);
    const second = record && ('day' in record ? record.day * DAY_SECONDS : record.time);
    if (second !== undefined && second >= COUNTED_SECONDS) return second;
  }
  return undefined;
}

/** Applies the rules of a start; gives the second it is. `kept`: the retained block's last second, if known. */
export function findTime(controller: Controller, kept: number | undefined): number {
  const { state, hardware } = controller;
  const registers = hardware.readClock();
  if (!registers) return estimate(controller, kept ?? lastLogged(controller), 0);
  const reading = timeFromRegisters(registers);
  if (reading !== undefined && (itemAt(registers, CLOCK.status) & STOPPED_FLAG) === 0) {
    state.known = true;
    state.estimated = false;
    state.skew = 0;
    return reading;
  }
  const last = lastAlive(controller) ?? lastLogged(controller);
  if (last === undefined) return estimate(controller, undefined, reading ?? 0);
  const believed = reading !== undefined && reading >= last && reading <= last + BELIEVED_SECONDS;
  if (!believed) hardware.writeClock(CLOCK.time, timeRegisters(last));
  return estimate(controller, believed ? reading : last, 0);
}

/** Takes `second`, or counts on from `otherwise` with time unknown. */
function estimate(controller: Controller, second: number | undefined, otherwise: number): number {
  const { state, hardware } = controller;
  state.known = second !== undefined;
  state.estimated = true;
  const now = second ?? otherwise;
  state.skew = now - hardware.tick();
  return now;
}

/** Sets the battery clock and clears its stopped flag; false when it does not answer. */
export function setRegisters(controller: Controller, second: number): boolean {
  const { hardware, state } = controller;
  const registers = hardware.readClock();
  if (!registers) return false;
  hardware.writeClock(CLOCK.time, timeRegisters(second));
  hardware.writeClock(CLOCK.status, [itemAt(registers, CLOCK.status) & ~STOPPED_FLAG]);
  state.known = true;
  state.estimated = false;
  state.skew = 0;
  return true;
}
