/**
 * What the host can tell the controller by writing registers (protocol.md).
 *
 * Always holds: a command is checked first, then writes its bytes, and acts
 * only once they stand in the memory; a refused command changes nothing.
 */

import { sure } from '../../shared/assert.ts';
import {
  CLOCK_END_SECONDS,
  COUNTED_SECONDS,
  REFERENCE_LEAST_MILLIVOLTS,
  REFERENCE_MOST_MILLIVOLTS,
} from '../../shared/behaviour.ts';
import {
  EXCEPTION,
  FORBIDDEN_UNIT,
  HOLDING,
  MAX_HAND_MINUTES,
  UPLOAD_REGISTERS,
  VISIT_WHAT,
} from '../../shared/registers.ts';
import { MARK_BYTES, SLOT_BYTES } from '../../shared/storage.ts';
import { TABLE_CRC_BYTES, TABLE_HEADER_BYTES, TABLE_MAX_BYTES, VISIT_KINDS } from '../../shared/table.ts';
import { releaseHand } from './overlays.ts';
import { react, setClock } from './second.ts';
import { storeSettings } from './settings.ts';
import {
  clearMarks,
  confirmSlot,
  freeSlot,
  isConfirmed,
  sealSlot,
  sequenceOf,
  slotBytes,
  tableCrc,
  uploadedTable,
} from './slots.ts';
import type { SimulatedController } from './state.ts';
import { suppliesWrites } from './supply.ts';
import { beginTrial, endTrialConfirmed, REVERTED, revertTrial, tellTableFaults } from './tables.ts';
import { answerLink, takeBack } from './visits.ts';

const OK = 0;

/** Exception number, or 0. */
type Outcome = number;

interface Command {
  /** Registers it takes. */
  readonly count: number;
  /** Checks and puts writes in the queue. */
  readonly begin: (controller: SimulatedController, values: readonly number[]) => Outcome;
  /** When the writes stand. */
  readonly finish?: (controller: SimulatedController, values: readonly number[]) => Outcome;
}

const long = (high: number, low: number): number => (high * 0x10000 + low) >>> 0;

const begin: Command = {
  count: 1,
  begin: (controller, [length = 0]) => {
    if (length < TABLE_HEADER_BYTES + TABLE_CRC_BYTES || length > TABLE_MAX_BYTES) return EXCEPTION.value;
    if (controller.state.retained.trial || !suppliesWrites(controller)) return EXCEPTION.busy;
    controller.state.upload = undefined;
    clearMarks(controller, freeSlot(controller));
    return OK;
  },
  finish: (controller, [length = 0]) => {
    const { state } = controller;
    if (state.retained.trial) return EXCEPTION.busy;
    const session = (state.retained.uploadSession + 1) & 0xffff || 1;
    state.retained.uploadSession = session;
    state.upload = { slot: freeSlot(controller), length, session };
    tellTableFaults(controller);
    return OK;
  },
};

const commit: Command = {
  count: 4,
  begin: (controller, [session = 0, length = 0, high = 0, low = 0]) => {
    const { upload, runningSlot } = controller.state;
    if (upload?.session !== session) return EXCEPTION.value;
    if (!suppliesWrites(controller)) return EXCEPTION.busy;
    const schedule = upload.length === length ? uploadedTable(controller, upload.slot, length) : undefined;
    const fits = schedule && schedule.outputs >> controller.board.outputs === 0;
    if (!fits || tableCrc(schedule.bytes) !== long(high, low)) return EXCEPTION.value;
    const sequence = runningSlot < 0 ? 1 : (sequenceOf(controller, runningSlot) + 1) & 0xff;
    sealSlot(controller, upload.slot, sequence, length);
    return OK;
  },
  finish: (controller) => {
    const { upload } = controller.state;
    if (!upload) return EXCEPTION.value;
    beginTrial(controller, upload);
    return OK;
  },
};

/** True when sequence and CRC name the running table. */
function namesRunning(controller: SimulatedController, sequence: number, crc: number): boolean {
  const { schedule, state } = controller;
  if (!schedule || tableCrc(schedule.bytes) !== crc) return false;
  return sequenceOf(controller, state.runningSlot) === sequence;
}

const confirm: Command = {
  count: 4,
  begin: (controller, [session = 0, sequence = 0, high = 0, low = 0]) => {
    const { trial } = controller.state.retained;
    if (!namesRunning(controller, sequence, long(high, low))) return EXCEPTION.value;
    if (!trial) return isConfirmed(controller, controller.state.runningSlot) ? OK : EXCEPTION.value;
    if (trial.session !== session) return EXCEPTION.value;
    if (!suppliesWrites(controller)) return EXCEPTION.busy;
    confirmSlot(controller, trial.slot);
    return OK;
  },
  finish: (controller, [, sequence = 0, high = 0, low = 0]) => {
    if (!namesRunning(controller, sequence, long(high, low))) return EXCEPTION.value;
    endTrialConfirmed(controller);
    return OK;
  },
};

const giveUp: Command = {
  count: 1,
  begin: (controller, [session = 0]) => {
    const { state } = controller;
    if (state.retained.trial?.session === session) {
      revertTrial(controller, REVERTED.byRequest);
      react(controller);
      return OK;
    }
    if (state.upload?.session !== session) return EXCEPTION.value;
    state.upload = undefined;
    return OK;
  },
};

const clock: Command = {
  count: 3,
  begin: (controller, [high = 0, low = 0, sub = 0]) => {
    const second = long(high, low);
    if (sub > 255 || second < COUNTED_SECONDS || second >= CLOCK_END_SECONDS - 1) return EXCEPTION.value;
    return setClock(controller, second + (sub >= 128 ? 1 : 0)) ? OK : EXCEPTION.failure;
  },
};

const handMinutes: Command = {
  count: 1,
  begin: (controller, [minutes = 0]) => {
    if (minutes > MAX_HAND_MINUTES) return EXCEPTION.value;
    if (minutes === 0) releaseHand(controller);
    else controller.state.retained.handMinutes = minutes;
    react(controller);
    return OK;
  },
};

const visit: Command = {
  count: 3,
  begin: (controller, [kind = 0, zones = 0, what = 0]) => {
    if (kind >= VISIT_KINDS.length || zones === 0) return EXCEPTION.value;
    if (what === VISIT_WHAT.done) return answerLink(controller, kind, zones) ? OK : EXCEPTION.value;
    if (what !== VISIT_WHAT.takeBack) return EXCEPTION.value;
    return takeBack(controller, kind, zones) ? OK : EXCEPTION.value;
  },
};

const unit: Command = {
  count: 1,
  begin: (controller, [number = 0]) => {
    if (number < 1 || number > 247 || number === FORBIDDEN_UNIT) return EXCEPTION.value;
    if (!suppliesWrites(controller)) return EXCEPTION.busy;
    storeSettings(controller, { unit: number });
    return OK;
  },
  finish: (controller, [number = 0]) => {
    controller.state.unit = number;
    return OK;
  },
};

const identity: Command = {
  count: 2,
  begin: (controller, [high = 0, low = 0]) => {
    if (!suppliesWrites(controller)) return EXCEPTION.busy;
    storeSettings(controller, { identity: long(high, low) });
    return OK;
  },
  finish: (controller, [high = 0, low = 0]) => {
    controller.state.identity = long(high, low);
    return OK;
  },
};

const reference: Command = {
  count: 1,
  begin: (controller, [millivolts = 0]) => {
    if (millivolts < REFERENCE_LEAST_MILLIVOLTS || millivolts > REFERENCE_MOST_MILLIVOLTS)
      return EXCEPTION.value;
    // By the old reference the supply may have seemed too low.
    if (!suppliesWrites(controller, millivolts)) return EXCEPTION.busy;
    controller.state.reference = millivolts;
    storeSettings(controller, {});
    return OK;
  },
};

const COMMANDS = new Map<number, Command>([
  [HOLDING.begin, begin],
  [HOLDING.commit, commit],
  [HOLDING.confirm, confirm],
  [HOLDING.giveUp, giveUp],
  [HOLDING.clock, clock],
  [HOLDING.handMinutes, handMinutes],
  [HOLDING.visit, visit],
  [HOLDING.unit, unit],
  [HOLDING.identity, identity],
  [HOLDING.reference, reference],
]);

/** Table bytes from register `first` of the upload on. */
function writeTable(controller: SimulatedController, first: number, values: readonly number[]): Outcome {
  const { upload } = controller.state;
  if (values.length > UPLOAD_REGISTERS) return EXCEPTION.address;
  if (!upload) return EXCEPTION.value;
  if (2 * (first + values.length) > upload.length + (upload.length % 2)) return EXCEPTION.address;
  if (!suppliesWrites(controller)) return EXCEPTION.busy;
  values.forEach((value, index) => {
    writeTableByte(controller, 2 * (first + index), value >> 8);
    writeTableByte(controller, 2 * (first + index) + 1, value & 0xff);
  });
  return OK;
}

function writeTableByte(controller: SimulatedController, at: number, value: number): void {
  const { slot, length } = sure(controller.state.upload);
  if (at < length) controller.hardware.writeEeprom(slot * SLOT_BYTES + MARK_BYTES + at, value);
}

/** Reads back what `writeTable` wrote. */
function checkTable(controller: SimulatedController, first: number, values: readonly number[]): Outcome {
  const { upload } = controller.state;
  if (!upload) return EXCEPTION.value;
  const bytes = slotBytes(controller, upload.slot).subarray(MARK_BYTES, MARK_BYTES + upload.length);
  const stand = values.every((value, index) => {
    const at = 2 * (first + index);
    const low = bytes[at + 1] ?? value & 0xff;
    return bytes[at] === value >> 8 && low === (value & 0xff);
  });
  return stand ? OK : EXCEPTION.failure;
}

const isTable = (address: number): boolean => address >> 8 === HOLDING.table >> 8;

/** Checks and begins a write of holding registers; exception number or 0. */
export function beginWrite(
  controller: SimulatedController,
  address: number,
  values: readonly number[],
): Outcome {
  if (isTable(address)) return writeTable(controller, address - HOLDING.table, values);
  const command = COMMANDS.get(address);
  if (!command || command.count !== values.length) return EXCEPTION.address;
  return command.begin(controller, values);
}

/** Ends a write whose bytes stand in the memory; exception number or 0. */
export function finishWrite(
  controller: SimulatedController,
  address: number,
  values: readonly number[],
): Outcome {
  if (isTable(address)) return checkTable(controller, address - HOLDING.table, values);
  const outcome = COMMANDS.get(address)?.finish?.(controller, values) ?? OK;
  if (outcome === OK) react(controller);
  return outcome;
}
