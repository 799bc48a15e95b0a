/**
 * Faults: present or not, logged when entered and when left.
 *
 * Always holds: one that comes back within an hour of its last logged leaving
 * is present but leaves no records; a leaving's record tells since when.
 */

import { itemAt } from '../../shared/assert.ts';
import { utcSeconds } from '../../shared/units.ts';
import { appendRecord } from './log-ring.ts';
import type { SimulatedController } from './state.ts';

const QUIET_SECONDS = 3600;

/** True while fault `fault` (log-format.md's number) is present. */
export function isPresent(controller: SimulatedController, fault: number): boolean {
  return (controller.state.retained.faults.present & (1 << (fault - 1))) !== 0;
}

/** Enters or leaves a fault, as `present` says; nothing happens when it already is so. */
export function setFault(controller: SimulatedController, fault: number, present: boolean, detail = 0): void {
  if (present === isPresent(controller, fault)) return;
  if (present) enterFault(controller, fault, detail);
  else leaveFault(controller, fault);
}

function enterFault(controller: SimulatedController, fault: number, detail: number): void {
  const { faults, last } = controller.state.retained;
  const left = itemAt(faults.changedAt, fault);
  faults.present |= 1 << (fault - 1);
  if (left >= 0 && last - left < QUIET_SECONDS) {
    faults.quiet |= 1 << (fault - 1);
    return;
  }
  logFault(controller, fault, 1, detail);
  faults.changedAt[fault] = last;
}

function leaveFault(controller: SimulatedController, fault: number): void {
  const { faults, last } = controller.state.retained;
  const bit = 1 << (fault - 1);
  faults.present &= ~bit;
  if (faults.quiet & bit) {
    faults.quiet &= ~bit;
    return;
  }
  logFault(controller, fault, 0, itemAt(faults.changedAt, fault));
  faults.changedAt[fault] = last;
}

function logFault(controller: SimulatedController, fault: number, entered: number, detail: number): void {
  const time = utcSeconds(controller.state.retained.last);
  appendRecord(controller, { type: 'fault', time, fault, entered, detail: detail >>> 0 });
}
