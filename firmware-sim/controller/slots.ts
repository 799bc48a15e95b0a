/**
 * The two table slots in the EEPROM and their marks (behaviour.md, section 4).
 *
 * Always holds: a slot counts only if its seal and the check over its marks
 * are exact and its table decodes; torn marks are rewritten before they are
 * acted on.
 */

import { itemAt } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';
import {
  CLEARED,
  CONFIRMED,
  ERASED,
  MARK,
  MARK_BYTES,
  markBytes,
  SEALED,
  SLOT_BYTES,
  SLOT_COUNT,
  UNCONFIRMED,
} from '../../shared/storage.ts';
import { openSchedule, type Schedule } from '../schedule.ts';
import type { Controller } from './state.ts';

/** The 448 bytes of a slot. */
export function slotBytes(controller: Controller, slot: number): Uint8Array {
  return controller.hardware.eeprom.subarray(slot * SLOT_BYTES, (slot + 1) * SLOT_BYTES);
}

function writeMark(controller: Controller, slot: number, mark: number, value: number): void {
  controller.hardware.writeEeprom(slot * SLOT_BYTES + mark, value);
}

export const sequenceOf = (controller: Controller, slot: number): number =>
  itemAt(slotBytes(controller, slot), MARK.sequence);

export const isConfirmed = (controller: Controller, slot: number): boolean =>
  slotBytes(controller, slot)[MARK.confirm] === CONFIRMED;

export const isSealed = (controller: Controller, slot: number): boolean =>
  slotBytes(controller, slot)[MARK.seal] === SEALED;

/** The CRC-32 in a table's last four bytes. */
export function tableCrc(table: Uint8Array): number {
  return new DataView(table.buffer, table.byteOffset).getUint32(table.length - 4, true);
}

/** The table a sealed slot holds, or undefined. */
export function tableIn(controller: Controller, slot: number): Schedule | undefined {
  const bytes = slotBytes(controller, slot);
  const check = itemAt(bytes, MARK.check) | (itemAt(bytes, MARK.check + 1) << 8);
  if (!isSealed(controller, slot) || crc16(bytes.subarray(MARK.sequence, MARK.check)) !== check) {
    return undefined;
  }
  const length = itemAt(bytes, MARK.length) | (itemAt(bytes, MARK.length + 1) << 8);
  return uploadedTable(controller, slot, length);
}

/** The table of `length` bytes that stands in a slot, whatever its marks say; undefined when it is none. */
export function uploadedTable(controller: Controller, slot: number, length: number): Schedule | undefined {
  return openSchedule(slotBytes(controller, slot).slice(MARK_BYTES, MARK_BYTES + length));
}

/** Rewrites torn seals to cleared and torn confirm marks to not confirmed. */
export function mendMarks(controller: Controller): void {
  for (let slot = 0; slot < SLOT_COUNT; slot++) {
    const bytes = slotBytes(controller, slot);
    if (![ERASED, SEALED, CLEARED].includes(itemAt(bytes, MARK.seal))) clearSeal(controller, slot);
    if (![UNCONFIRMED, CONFIRMED].includes(itemAt(bytes, MARK.confirm))) {
      writeMark(controller, slot, MARK.confirm, UNCONFIRMED);
    }
  }
}

/** The confirmed slot that runs after a start; -1: none. */
export function chooseSlot(controller: Controller): number {
  const able = [0, 1].filter((slot) => isConfirmed(controller, slot) && tableIn(controller, slot));
  if (able.length < 2) return able[0] ?? -1;
  return isNewer(sequenceOf(controller, 1), sequenceOf(controller, 0)) ? 1 : 0;
}

/** Sequence numbers wrap at 256. */
const isNewer = (one: number, other: number): boolean => one !== other && ((one - other) & 0xff) < 128;

/** The slot an upload goes to. */
export const freeSlot = (controller: Controller): number => (controller.state.runningSlot === 0 ? 1 : 0);

export function clearSeal(controller: Controller, slot: number): void {
  writeMark(controller, slot, MARK.seal, CLEARED);
}

/** Makes a slot ready for an upload. */
export function clearMarks(controller: Controller, slot: number): void {
  clearSeal(controller, slot);
  writeMark(controller, slot, MARK.confirm, UNCONFIRMED);
}

/** Seals a slot: the other marks first, the seal last. */
export function sealSlot(controller: Controller, slot: number, sequence: number, length: number): void {
  markBytes(sequence, length).forEach((value, index) => {
    writeMark(controller, slot, MARK.sequence + index, value);
  });
  writeMark(controller, slot, MARK.seal, SEALED);
}

export function confirmSlot(controller: Controller, slot: number): void {
  writeMark(controller, slot, MARK.confirm, CONFIRMED);
}
