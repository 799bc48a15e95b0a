/**
 * A start of the controller: what is mended, what goes on, what is logged
 * (behaviour.md, sections 4 to 6).
 *
 * Always holds: records come in the order boot, reverted, faults, visits; no
 * output is on when it returns.
 */

import { SMALL_STEP_SECONDS } from '../../shared/behaviour.ts';
import { BOOT_CAUSE, FAULT, OUTAGE_UNKNOWN } from '../../shared/log.ts';
import { utcSeconds } from '../../shared/units.ts';
import { setFault } from './faults.ts';
import { appendRecord, scanLog } from './log-ring.ts';
import { measureSupply, processSecond, resume, tellClockFaults } from './second.ts';
import { loadSettings, tellMended } from './settings.ts';
import { mendMarks } from './slots.ts';
import { freshRetained, freshState, type Retained, type SimulatedController } from './state.ts';
import { chooseTable, tellTableFaults, tellTrials } from './tables.ts';
import { findTime, lastAlive } from './time.ts';
import { checkDueVisits, rebuildVisits } from './visits.ts';

const { external, watchdog } = BOOT_CAUSE;

/** Starts a controller. `block`: the retained block if it is whole. `cause` as in the log. */
export function startController(
  controller: SimulatedController,
  cause: number,
  block: Retained | undefined,
): void {
  const kept = cause === external || cause === watchdog ? block : undefined;
  const state = freshState(kept ?? freshRetained());
  controller.state = state;
  state.cause = cause;
  const mended = loadSettings(controller);
  mendMarks(controller);
  scanLog(controller);
  if (kept) countReset(kept, cause);
  chooseTable(controller);
  const now = findTime(controller, kept && kept.day.day >= 0 ? kept.last : undefined);
  rebuildVisits(controller);
  // From the later of the two: after a clock set back the outputs still follow one another.
  state.waitFrom = kept && kept.last - now <= SMALL_STEP_SECONDS ? Math.max(now, kept.last) : now;
  state.session = (now + state.retained.resets) & 0xffff || 1;
  const alive = lastAlive(controller);
  if (!kept) beginAfresh(state.retained, now, state.session);
  if (!kept || cause === watchdog) logBoot(controller, now, alive);
  tellTrials(controller);
  tellFaults(controller, mended);
  if (kept) {
    resume(controller, now);
    return;
  }
  state.turnFrom = now;
  if (state.known) state.retained.visitCheck = Math.min(alive ?? now, now);
  checkDueVisits(controller, now);
  processSecond(controller, now);
}

function countReset(kept: Retained, cause: number): void {
  kept.resets = Math.min(0xffff, kept.resets + 1);
  if (cause === watchdog) kept.trial = undefined;
  else kept.day.resets++;
}

function beginAfresh(retained: Retained, now: number, session: number): void {
  retained.last = now;
  retained.uploadSession = session;
}

function logBoot(controller: SimulatedController, now: number, alive: number | undefined): void {
  const { state } = controller;
  const { retained, cause } = state;
  const known = alive !== undefined && state.known;
  const outageMinutes = known ? Math.max(0, Math.floor((now - alive) / 60)) : OUTAGE_UNKNOWN;
  if (cause !== watchdog) retained.outage = outageMinutes;
  const time = utcSeconds(retained.last);
  appendRecord(controller, { type: 'boot', time, cause, outageMinutes, resets: retained.resets });
}

function tellFaults(controller: SimulatedController, mended: number): void {
  const { hardware } = controller;
  tellClockFaults(controller, hardware.readClock() === undefined);
  setFault(controller, FAULT.logMissing, !controller.state.logAnswers);
  measureSupply(controller);
  tellTableFaults(controller);
  tellMended(controller, mended);
}
