/**
 * Which table runs: loading, trial, confirmation, and the way back
 * (behaviour.md, section 4).
 *
 * Always holds: `schedule` and `occurrences` belong to `runningSlot`; a trial
 * ends confirmed or reverted, each logged once.
 */

import { FAULT } from '../../shared/log.ts';
import { SLOT_COUNT } from '../../shared/storage.ts';
import { utcSeconds } from '../../shared/units.ts';
import { setFault } from './faults.ts';
import { appendRecord } from './log-ring.ts';
import { chooseSlot, clearMarks, isConfirmed, isSealed, sequenceOf, tableCrc, tableIn } from './slots.ts';
import type { SimulatedController, Upload } from './state.ts';
import { visitDays } from './visit-days.ts';

const TRIAL_SECONDS = 120;
/** Flags in the slot of a *reverted* record. */
export const REVERTED = { byRequest: 0x80, byRestart: 0x40, byItself: 0 } as const;

/** Makes the table in `slot` (-1: none) the one that runs. */
function runSlot(controller: SimulatedController, slot: number): void {
  controller.state.runningSlot = slot;
  reloadTable(controller);
}

/** Another table runs from now on: outputs follow it one after another. */
function changeTo(controller: SimulatedController, slot: number): void {
  const { state } = controller;
  runSlot(controller, slot);
  tellTableFaults(controller);
  state.turnFrom = state.retained.last + 1;
}

/** Makes anew what is derived from the running table. */
export function reloadTable(controller: SimulatedController): void {
  const { runningSlot } = controller.state;
  controller.schedule = runningSlot < 0 ? undefined : tableIn(controller, runningSlot);
  controller.occurrences = visitDays(controller.schedule);
}

/** Enters or leaves the faults that tables can have. */
export function tellTableFaults(controller: SimulatedController): void {
  setFault(controller, FAULT.noTable, controller.schedule === undefined);
  const damaged = [0, 1].filter((slot) => isSealed(controller, slot) && !tableIn(controller, slot));
  setFault(controller, FAULT.slotDamaged, damaged.length > 0, damaged[0]);
}

type TableEvent = 'committed' | 'confirmed' | 'reverted';

function logTable(controller: SimulatedController, type: TableEvent, slot: number, flags = 0): void {
  const crc = tableCrc(tableIn(controller, slot)?.bytes ?? new Uint8Array(4));
  const tableSequence = sequenceOf(controller, slot);
  const time = utcSeconds(controller.state.retained.last);
  appendRecord(controller, { type, time, crc, tableSequence, slot: slot | flags });
}

/** The uploaded table is sealed: it runs on trial. */
export function beginTrial(controller: SimulatedController, { slot, session }: Upload): void {
  const { state } = controller;
  state.upload = undefined;
  logTable(controller, 'committed', slot);
  state.retained.trial = { slot, session, deadline: state.retained.last + TRIAL_SECONDS };
  changeTo(controller, slot);
}

/** The trial's confirm mark is written. */
export function endTrialConfirmed(controller: SimulatedController): void {
  const { trial } = controller.state.retained;
  if (!trial) return;
  controller.state.retained.trial = undefined;
  logTable(controller, 'confirmed', trial.slot);
}

/** Gives up the trial: the confirmed table runs again, or none. */
export function revertTrial(controller: SimulatedController, flags: number): void {
  const { trial } = controller.state.retained;
  if (!trial) return;
  controller.state.retained.trial = undefined;
  logTable(controller, 'reverted', trial.slot, flags);
  clearMarks(controller, trial.slot);
  changeTo(controller, chooseSlot(controller));
}

/** Chooses what runs at a start; the trial goes on if `state.retained` still has it. */
export function chooseTable(controller: SimulatedController): void {
  const { retained } = controller.state;
  const { trial } = retained;
  if (trial && !tableIn(controller, trial.slot)) retained.trial = undefined;
  runSlot(controller, retained.trial?.slot ?? chooseSlot(controller));
}

/** At a start: a trial found confirmed is told so; tables that were on trial and do not run are given up. */
export function tellTrials(controller: SimulatedController): void {
  const { state } = controller;
  const { trial } = state.retained;
  if (trial && isConfirmed(controller, trial.slot)) endTrialConfirmed(controller);
  for (let slot = 0; slot < SLOT_COUNT; slot++) {
    const running = slot === state.runningSlot;
    if (running || isConfirmed(controller, slot) || !tableIn(controller, slot)) continue;
    logTable(controller, 'reverted', slot, REVERTED.byRestart);
    clearMarks(controller, slot);
  }
}
