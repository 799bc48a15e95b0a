/**
 * The open day: on-times, temperatures, and the proof over its trace
 * (log-format.md, "The day's proof").
 *
 * Always holds: a day is whole only if it was opened at its first instant and
 * nothing broke its trace.
 */

import { itemAt } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';
import { NO_TEMPERATURE } from '../../shared/log.ts';
import { civilDay } from '../../shared/units.ts';
import { nextDaySecond, OUTPUTS, scheduleDayAt, scheduleInstant } from '../schedule.ts';
import { appendRecord } from './log-ring.ts';
import { type Day, emptyDay, type SimulatedController } from './state.ts';

/** Seconds in a unit of on-time. */
const UNIT_SECONDS = 360;
const MOST_HALVES = 127;

/** Opens, goes on with, or changes the day at second `t`. */
export function turnDay(controller: SimulatedController, t: number): void {
  const { state, schedule } = controller;
  if (!state.known) return;
  const open = state.retained.day;
  const today = scheduleDayAt(schedule, t);
  if (open.day < 0) {
    state.retained.day = emptyDay(today, true);
  } else if (today > open.day) {
    closeDay(controller);
    state.retained.day = emptyDay(today, t !== scheduleInstant(schedule, today, 0));
  }
}

/** The clock took a large step to `t`: the trace starts afresh; another day closes the open one. */
export function breakDay(controller: SimulatedController, t: number): void {
  const { state, schedule } = controller;
  const open = state.retained.day;
  if (open.day < 0) return;
  open.partial = true;
  if (scheduleDayAt(schedule, t) !== open.day) {
    closeDay(controller);
    return;
  }
  open.crc = 0xffff;
  open.fresh = true;
}

/** Writes the day's two records; no day is open afterwards. */
function closeDay(controller: SimulatedController): void {
  const { day } = controller.state.retained;
  const onTime = day.onSeconds.map((seconds) =>
    Math.min(0xff, Math.floor((seconds + UNIT_SECONDS / 2) / UNIT_SECONDS)),
  );
  appendRecord(controller, { type: 'light', day: civilDay(day.day), onTime }, day.partial);
  appendRecord(controller, { type: 'proof', day: civilDay(day.day), ...proof(day) }, day.partial);
  controller.state.retained.day = emptyDay(-1, true);
}

function proof(day: Day) {
  const { count, sum, outsideMinutes, resets, crc } = day;
  const none = count === 0;
  return {
    crc,
    min: none ? NO_TEMPERATURE : halves(day.min, 1),
    mean: none ? NO_TEMPERATURE : halves(sum, count),
    max: none ? NO_TEMPERATURE : halves(day.max, 1),
    outsideMinutes,
    resets: Math.min(0xff, resets),
  };
}

/** Half degrees of `sum`/`count` sixteenths: nearest, ties up. */
function halves(sum: number, count: number): number {
  const rounded = Math.floor((sum + 4 * count) / (8 * count));
  return Math.max(-MOST_HALVES, Math.min(MOST_HALVES, rounded));
}

/** Takes the targets of second `t` into the trace. */
export function trace(controller: SimulatedController, t: number, asked: Uint8Array): void {
  const { day } = controller.state.retained;
  if (day.day < 0) return;
  const same = !day.fresh && asked.every((level, index) => level === day.before[index]);
  if (same) return;
  const entry = new Uint8Array(4 + OUTPUTS);
  new DataView(entry.buffer).setUint32(0, t, true);
  entry.set(asked, 4);
  day.crc = crc16(entry, day.crc);
  day.fresh = false;
  asked.forEach((level, index) => {
    day.before[index] = level;
  });
}

/** Counts `seconds` of light as the pins show it. */
export function countLight(controller: SimulatedController, shown: Uint8Array, seconds: number): void {
  const { day } = controller.state.retained;
  if (day.day < 0) return;
  for (let index = 0; index < OUTPUTS; index++) {
    if (shown[index] !== 0) day.onSeconds[index] = itemAt(day.onSeconds, index) + seconds;
  }
}

/** The next second at which the day can turn. */
export function nextDay(controller: SimulatedController): number {
  const { state, schedule } = controller;
  return state.known ? nextDaySecond(schedule, state.retained.last) : Number.POSITIVE_INFINITY;
}
