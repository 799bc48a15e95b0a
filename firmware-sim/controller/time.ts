/**
 * What time it is: the rules of a start, the last-alive minute, and setting
 * the clock's registers (behaviour.md, section 5).
 *
 * Always holds: `known` and `estimated` tell what the controller's seconds are
 * worth; the stopped flag is cleared only when the host has set the time.
 */

import { itemAt } from '../../shared/assert.ts';
import { BELIEVED_SECONDS, CLOCK_END_SECONDS, COUNTED_SECONDS } from '../../shared/behaviour.ts';
import { crc8 } from '../../shared/crc.ts';
import type { LogRecord } from '../../shared/log.ts';
import { CLOCK, STOPPED_FLAG, timeFromRegisters, timeRegisters } from '../clock-registers.ts';
import { scheduleInstant } from '../schedule.ts';
import { oldestSequence, recordAt } from './log-ring.ts';
import type { SimulatedController } from './state.ts';

const ALIVE_BYTES = 4;

/** The last-alive second in the alarm registers, or undefined. */
export function lastAlive(controller: SimulatedController): number | undefined {
  const registers = controller.hardware.readClock();
  const scratch = registers?.subarray(CLOCK.alarm, CLOCK.alarm + ALIVE_BYTES);
  if (!registers || !scratch || crc8(scratch) !== registers[CLOCK.alarm + ALIVE_BYTES]) return undefined;
  const second = new DataView(scratch.buffer, scratch.byteOffset).getUint32(0, true);
  return second === 0 || second >= CLOCK_END_SECONDS ? undefined : second;
}

/** Writes the last-alive minute. */
export function writeAlive(controller: SimulatedController, t: number): void {
  const bytes = new Uint8Array(ALIVE_BYTES + 1);
  new DataView(bytes.buffer).setUint32(0, t, true);
  bytes[ALIVE_BYTES] = crc8(bytes.subarray(0, ALIVE_BYTES));
  controller.hardware.writeClock(CLOCK.alarm, bytes);
}

/** The second at which a record was written: a day's records as the day ends. */
function toldAt({ schedule }: SimulatedController, record: LogRecord): number {
  return 'day' in record ? scheduleInstant(schedule, record.day + 1, 0) : record.time;
}

/** The time of the newest record that can be read and was not merely counted. */
function lastLogged(controller: SimulatedController): number | undefined {
  const oldest = oldestSequence(controller);
  for (let sequence = controller.state.newest; oldest > 0 && sequence >= oldest; sequence--) {
    const record = recordAt(controller, sequence);
    const second = record && toldAt(controller, record);
    if (second !== undefined && second >= COUNTED_SECONDS && second < CLOCK_END_SECONDS) return second;
  }
  return undefined;
}

/** Applies the rules of a start; gives the second it is. `kept`: the retained block's last second, if known. */
export function findTime(controller: SimulatedController, kept: number | undefined): number {
  const { state, hardware } = controller;
  const registers = hardware.readClock();
  if (!registers) return estimate(controller, kept ?? lastLogged(controller), 0);
  const reading = timeFromRegisters(registers);
  const stopped = (itemAt(registers, CLOCK.status) & STOPPED_FLAG) !== 0;
  // No clock that was ever set shows the year 2000.
  if (reading !== undefined && reading >= COUNTED_SECONDS && !stopped) {
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
function estimate(controller: SimulatedController, second: number | undefined, otherwise: number): number {
  const { state, hardware } = controller;
  state.known = second !== undefined;
  state.estimated = true;
  const now = second ?? otherwise;
  state.skew = now - hardware.tick();
  return now;
}

/** Sets the battery clock and clears its stopped flag; false when it does not answer. */
export function setRegisters(controller: SimulatedController, second: number): boolean {
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
