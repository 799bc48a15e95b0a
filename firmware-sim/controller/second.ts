/**
 * One second of the controller's work, and the leap over seconds in which
 * nothing can happen (behaviour.md, section 2).
 *
 * Always holds: leaping gives what processing each second would give, since it
 * never passes a second at which anything could change.
 */

import { SMALL_STEP_SECONDS, TICK_LOST_SECONDS } from '../../shared/behaviour.ts';
import { FAULT } from '../../shared/log.ts';
import { utcSeconds } from '../../shared/units.ts';
import { breakDay, countLight, nextDay, trace, turnDay } from './day.ts';
import { isPresent, setFault } from './faults.ts';
import { appendRecord, scanLog } from './log-ring.ts';
import { endOverlays, moveOverlays, nextOverlayEdge } from './overlays.ts';
import { isSteadyRoom, passMinutes, probeReading, readRoom } from './room.ts';
import type { SimulatedController } from './state.ts';
import { measuredSupply, suppliesWrites } from './supply.ts';
import { countSeconds, nextSwitching, shownLevels, switchOutputs, targets } from './switching.ts';
import { REVERTED, revertTrial } from './tables.ts';
import { findTime, setRegisters, writeAlive } from './time.ts';
import { checkDueVisits, nextVisitEnd, rebuildVisits } from './visits.ts';

const MINUTE = 60;

/** Processes second `t`. */
export function processSecond(controller: SimulatedController, t: number): void {
  const { state } = controller;
  const wholeMinute = t % MINUTE === 0;
  if (wholeMinute) retryLog(controller);
  if (wholeMinute && !checkClock(controller, t)) return;
  state.retained.last = t;
  measureSupply(controller);
  const { trial } = state.retained;
  if (trial && t >= trial.deadline) revertTrial(controller, REVERTED.byItself);
  endOverlays(controller);
  turnDay(controller, t);
  if (wholeMinute) minuteWork(controller, t);
  countSeconds(controller, 1);
  const asked = targets(controller, t);
  trace(controller, t, asked);
  switchOutputs(controller, asked);
  countLight(controller, shownLevels(controller), 1);
}

/** An event has changed targets or table: outputs follow at once. */
export function react(controller: SimulatedController): void {
  switchOutputs(controller, targets(controller, controller.state.retained.last));
}

export function measureSupply(controller: SimulatedController): void {
  setFault(controller, FAULT.supplyLow, !suppliesWrites(controller), measuredSupply(controller));
}

function minuteWork(controller: SimulatedController, t: number): void {
  readRoom(controller);
  checkDueVisits(controller, t);
  if (controller.state.known) writeAlive(controller, t);
}

/** A log memory that has not answered is read anew. */
function retryLog(controller: SimulatedController): void {
  const { state } = controller;
  if (state.logAnswers && !isPresent(controller, FAULT.logMissing)) return;
  scanLog(controller);
  if (state.logAnswers) rebuildVisits(controller);
  setFault(controller, FAULT.logMissing, !state.logAnswers);
}

/** Reads the clock before second `t` is processed; false when its answer took the controller to another second. */
function checkClock(controller: SimulatedController, t: number): boolean {
  const { state, hardware } = controller;
  if (!isClockNews(controller)) return true;
  if (!hardware.readClock()) {
    state.estimated = true;
    tellClockFaults(controller, true);
    return true;
  }
  const now = findTime(controller, undefined);
  tellClockFaults(controller, false);
  if (now === t) return true;
  arrive(controller, now);
  return false;
}

/** Enters or leaves faults 1 and 2. */
export function tellClockFaults(controller: SimulatedController, missing: boolean): void {
  const { state } = controller;
  setFault(controller, FAULT.clockStopped, state.estimated || !state.known);
  setFault(controller, FAULT.clockMissing, missing);
}

/** After a restart that kept power the clock shows `now`, from which the outputs wait. */
export function resume(controller: SimulatedController, now: number): void {
  arrive(controller, now, now);
}

/**
 * The clock shows `now`, whatever it showed before: waits, catches up, or takes
 * a large step. `waitFrom`: the second from which outputs wait, if it is known anew.
 */
function arrive(controller: SimulatedController, now: number, waitFrom?: number): void {
  const { last } = controller.state.retained;
  if (now - last > 1) controller.state.turnFrom = now;
  if (Math.abs(now - last) > SMALL_STEP_SECONDS) largeStep(controller, now, waitFrom);
  else for (let t = last + 1; t <= now; t++) processSecond(controller, t);
}

function largeStep(controller: SimulatedController, now: number, waitFrom: number | undefined): void {
  breakDay(controller, now);
  moveTo(controller, now);
  controller.state.waitFrom = waitFrom ?? controller.state.waitFrom;
  processSecond(controller, now);
}

function moveTo(controller: SimulatedController, now: number): void {
  const { state } = controller;
  const { retained } = state;
  const by = now - retained.last;
  moveOverlays(retained, by);
  if (retained.trial) retained.trial.deadline += by;
  state.waitFrom += by;
  state.turnFrom = now;
  retained.last = now;
}

/** The host sets the clock to `second`; false when the clock does not answer. */
export function setClock(controller: SimulatedController, second: number): boolean {
  const { state, hardware } = controller;
  if (!hardware.readClock()) return false;
  const shown = hardware.tick() + state.skew;
  const oldSub = hardware.subSecond();
  const large = !state.known || Math.abs(second - state.retained.last) > SMALL_STEP_SECONDS;
  if (large) breakDay(controller, second);
  setRegisters(controller, second);
  const forward = Math.max(-0x80000000, Math.min(0x7fffffff, second - shown));
  appendRecord(controller, { type: 'clockSet', time: utcSeconds(second), forward, oldSub });
  if (large) moveTo(controller, second);
  tellClockFaults(controller, false);
  if (large) processSecond(controller, second);
  else arrive(controller, second);
  react(controller);
  return true;
}

/** Time passes up to the tick's second `t`; leaps where nothing can happen. */
export function passTime(controller: SimulatedController, t: number): void {
  const { state, hardware } = controller;
  while (state.retained.last < t) {
    const { last } = state.retained;
    const lost = isPresent(controller, FAULT.tickLost);
    if (hardware.tickSilent && !lost && t - last < TICK_LOST_SECONDS) return;
    if ((hardware.tickSilent || hardware.busHeld) && !checkClock(controller, t)) return;
    if (hardware.tickSilent !== lost) setFault(controller, FAULT.tickLost, hardware.tickSilent);
    if (hardware.tickSilent && !lost) state.turnFrom = t;
    const next = Math.min(t, Math.max(last + 1, quietUntil(controller)));
    if (next - 1 > last) leap(controller, next - 1);
    processSecond(controller, next);
    // A clock that answers again can set the seconds back: then the tick's count has changed.
    if (hardware.tick() + state.skew < t) return;
  }
}

/** The next second that must be processed at its time; Infinity when nothing can happen any more. */
export function nextBusySecond(controller: SimulatedController): number {
  const { last } = controller.state.retained;
  const { tickSilent } = controller.hardware;
  if (tickSilent !== isPresent(controller, FAULT.tickLost))
    return last + (tickSilent ? TICK_LOST_SECONDS : 1);
  return Math.max(last + 1, quietUntil(controller));
}

/** The first second after the last at which something may happen. */
function quietUntil(controller: SimulatedController): number {
  const { retained } = controller.state;
  const { last } = retained;
  const { hardware } = controller;
  if (suppliesWrites(controller) === isPresent(controller, FAULT.supplyLow)) return last + 1;
  if ((hardware.tickSilent || hardware.busHeld) && isClockNews(controller)) return last + 1;
  return Math.min(
    nextSwitching(controller),
    nextOverlayEdge(retained),
    retained.trial?.deadline ?? Number.POSITIVE_INFINITY,
    nextDay(controller),
    nextVisitEnd(controller),
    isQuietMinute(controller) ? Number.POSITIVE_INFINITY : last - (last % MINUTE) + MINUTE,
  );
}

/** True when the clock has stopped answering, or answers again, since it was last read. */
function isClockNews(controller: SimulatedController): boolean {
  const answers = controller.hardware.readClock() !== undefined;
  return answers === isPresent(controller, FAULT.clockMissing);
}

/** True when a whole minute's work would only add to totals. */
function isQuietMinute(controller: SimulatedController): boolean {
  const { hardware, state } = controller;
  const missing = isPresent(controller, FAULT.logMissing);
  // One that did not answer is read anew at the minute, whether it was told yet or not.
  const isLogQuiet = state.logAnswers ? !missing : missing && hardware.readLog() === undefined;
  return !isClockNews(controller) && isLogQuiet && isSteadyRoom(controller);
}

/** Passes the seconds up to `to`, in which nothing changes. */
function leap(controller: SimulatedController, to: number): void {
  const { state } = controller;
  const { retained } = state;
  const seconds = to - retained.last;
  const minutes = Math.floor(to / MINUTE) - Math.floor(retained.last / MINUTE);
  countSeconds(controller, seconds);
  countLight(controller, shownLevels(controller), seconds);
  retained.last = to;
  if (minutes === 0) return;
  passMinutes(controller, probeReading(controller), minutes);
  if (!state.known) return;
  retained.visitCheck = to - (to % MINUTE);
  writeAlive(controller, retained.visitCheck);
}
