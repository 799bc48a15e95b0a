/**
 * From targets to outputs: dwell, longest-on, the turns after a step or a new
 * table, and the wait after a restart (behaviour.md, section 3).
 *
 * Always holds: the wait is laid over the level; the counters go on beneath it.
 */

import { itemAt } from '../../shared/assert.ts';
import { FAULT } from '../../shared/log.ts';
import { nextChange, OUTPUTS, targetsAt } from '../schedule.ts';
import { setFault } from './faults.ts';
import { overlayLevel } from './overlays.ts';
import { LONG_AGO, type SimulatedController } from './state.ts';

/** Seconds that output 1 waits after a restart; each further output one more. */
const WAIT_SECONDS = 2;

/** What table and overlays ask of the eight outputs at `t`. */
export function targets(controller: SimulatedController, t: number): Uint8Array {
  const { schedule, state, board } = controller;
  const asked = new Uint8Array(OUTPUTS);
  if (schedule && state.known) targetsAt(schedule, t, asked);
  for (let index = 0; index < OUTPUTS; index++) {
    if (index >= board.outputs) asked[index] = 0;
    else asked[index] = overlayLevel(controller, index, t) ?? itemAt(asked, index);
  }
  return asked;
}

const limitSeconds = (controller: SimulatedController): number =>
  60 * (controller.schedule?.table.limits?.longestOnMinutes ?? 0);

/** Lets `seconds` pass on the counters. */
export function countSeconds(controller: SimulatedController, seconds: number): void {
  const { sinceSwitch, onFor, level } = controller.state.retained;
  for (let index = 0; index < OUTPUTS; index++) {
    sinceSwitch[index] = Math.min(LONG_AGO, itemAt(sinceSwitch, index) + seconds);
    if (level[index] !== 0) onFor[index] = itemAt(onFor, index) + seconds;
  }
}

/** Brings the outputs to `asked`, as far as dwell, limit and wait allow, and drives the pins. */
export function switchOutputs(controller: SimulatedController, asked: Uint8Array): void {
  for (let index = 0; index < OUTPUTS; index++) switchOne(controller, index, itemAt(asked, index));
  const { held } = controller.state.retained;
  setFault(controller, FAULT.longestOn, held !== 0, held);
  controller.hardware.show(shownLevels(controller));
}

function switchOne(controller: SimulatedController, index: number, target: number): void {
  const { retained } = controller.state;
  const bit = 1 << index;
  const limit = limitSeconds(controller);
  const on = retained.level[index] !== 0;
  if (target === 0) retained.held &= ~bit;
  else if (limit > 0 && on && itemAt(retained.onFor, index) >= limit) retained.held |= bit;
  const held = (retained.held & bit) !== 0;
  const wanted = held ? 0 : target;
  if (retained.level[index] === wanted || !hasTurn(controller, index)) return;
  const dwell = controller.schedule?.table.limits?.dwellSeconds ?? 0;
  if (itemAt(retained.sinceSwitch, index) < dwell && !(held && on)) return;
  retained.level[index] = wanted;
  if (on === (wanted !== 0)) return;
  retained.sinceSwitch[index] = 0;
  retained.onFor[index] = 0;
}

/** False while output index `index` keeps its level, so that many do not switch at once. */
function hasTurn({ state }: SimulatedController, index: number): boolean {
  return state.retained.last >= state.turnFrom + index;
}

/** True while output index `index` still waits after a restart. */
function isWaiting(controller: SimulatedController, index: number): boolean {
  const { retained, waitFrom } = controller.state;
  return retained.last < waitFrom + WAIT_SECONDS + index;
}

/** True while any output of the board waits. */
export const isStarting = (controller: SimulatedController): boolean =>
  isWaiting(controller, controller.board.outputs - 1);

/** What the pins show. */
export function shownLevels(controller: SimulatedController): Uint8Array {
  return Uint8Array.from(controller.state.retained.level, (level, index) =>
    isWaiting(controller, index) ? 0 : level,
  );
}

/** The next second at which outputs can change by table, wait, dwell or limit. */
export function nextSwitching(controller: SimulatedController): number {
  const { state, schedule } = controller;
  const { retained } = state;
  const { last } = retained;
  if (isStarting(controller) || !isSettled(controller) || !isTraced(controller)) return last + 1;
  let next = schedule && state.known ? nextChange(schedule, last) : Number.POSITIVE_INFINITY;
  const limit = limitSeconds(controller);
  for (let index = 0; limit > 0 && index < OUTPUTS; index++) {
    if (retained.level[index] === 0) continue;
    next = Math.min(next, Math.max(last + 1, last + limit - itemAt(retained.onFor, index)));
  }
  return next;
}

/** True when the day's trace has what is asked now: an event since the last second may have changed it. */
function isTraced(controller: SimulatedController): boolean {
  const { day, last } = controller.state.retained;
  if (day.day < 0) return true;
  return targets(controller, last).every((target, index) => target === day.before[index]);
}

/** True when every output shows what is asked of it. */
function isSettled(controller: SimulatedController): boolean {
  const { retained } = controller.state;
  const asked = targets(controller, retained.last);
  return asked.every((target, index) => {
    const wanted = retained.held & (1 << index) ? 0 : target;
    return retained.level[index] === wanted;
  });
}
