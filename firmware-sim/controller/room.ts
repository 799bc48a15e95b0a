/**
 * The room's temperature, minute by minute (behaviour.md, section 8).
 *
 * Always holds: `passMinutes` over n equal minutes gives what n single ones
 * would, and is used only where nothing is logged meanwhile.
 */

import {
  HOT_SIXTEENTHS,
  OUTSIDE_MINUTES,
  PROBE_FAILURES,
  PROBE_POWER_ON_SIXTEENTHS,
} from '../../shared/behaviour.ts';
import { FAULT } from '../../shared/log.ts';
import { isPresent, setFault } from './faults.ts';
import type { SimulatedController } from './state.ts';

const FAILS = PROBE_FAILURES;
const MOST = 0xffff;

/** What the probe says, 1/16 °C; what it says after power-on counts only if the minute before was near it. */
export function probeReading({ state, hardware }: SimulatedController): number | undefined {
  const reading = hardware.probe();
  const hot = state.temperature !== undefined && state.temperature >= HOT_SIXTEENTHS;
  return reading === PROBE_POWER_ON_SIXTEENTHS && !hot ? undefined : reading;
}

/** One minute's reading. */
export function readRoom(controller: SimulatedController): void {
  const { state } = controller;
  const reading = probeReading(controller);
  passMinutes(controller, reading, 1);
  setFault(controller, FAULT.probeMissing, state.retained.probeFails >= FAILS);
  const outside = isOutside(controller, reading);
  if (!hasBand(controller) || outside === false) setFault(controller, FAULT.roomOutside, false, reading);
  else if (state.retained.outsideRun >= OUTSIDE_MINUTES) {
    setFault(controller, FAULT.roomOutside, true, reading);
  }
}

/** Takes `count` equal readings into the totals. */
export function passMinutes(
  controller: SimulatedController,
  reading: number | undefined,
  count: number,
): void {
  const { state } = controller;
  const { retained } = state;
  state.temperature = reading;
  if (reading === undefined) {
    retained.probeFails = Math.min(FAILS, retained.probeFails + count);
    if (!hasBand(controller)) retained.outsideRun = 0;
    return;
  }
  retained.probeFails = 0;
  state.outside = isOutside(controller, reading) === true;
  retained.outsideRun = state.outside ? Math.min(MOST, retained.outsideRun + count) : 0;
  countReading(controller, reading, count);
}

function countReading(controller: SimulatedController, reading: number, count: number): void {
  const { retained, outside } = controller.state;
  const { day } = retained;
  if (day.day < 0) return;
  day.min = day.count === 0 ? reading : Math.min(day.min, reading);
  day.max = day.count === 0 ? reading : Math.max(day.max, reading);
  day.sum += count * reading;
  day.count += count;
  if (outside) day.outsideMinutes = Math.min(MOST, day.outsideMinutes + count);
}

const hasBand = (controller: SimulatedController): boolean => controller.schedule?.table.room !== undefined;

/** Undefined when there is no reading or no band. */
function isOutside(controller: SimulatedController, reading: number | undefined): boolean | undefined {
  const band = controller.schedule?.table.room;
  if (!band || reading === undefined) return undefined;
  return reading < band.low || reading > band.high;
}

/** True when further minutes with the probe as it is would only add to the totals. */
export function isSteadyRoom(controller: SimulatedController): boolean {
  const { retained } = controller.state;
  const reading = probeReading(controller);
  if ((reading === undefined) !== isPresent(controller, FAULT.probeMissing)) return false;
  if (reading === undefined) return hasBand(controller) || !isPresent(controller, FAULT.roomOutside);
  const outside = isOutside(controller, reading) === true;
  if (outside !== isPresent(controller, FAULT.roomOutside)) return false;
  return outside || retained.outsideRun === 0;
}
