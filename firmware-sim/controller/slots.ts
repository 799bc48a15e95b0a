/**
 * The two table slots in the EEPROM and their marks (behaviour.md, section 4).
 *
 * Always holds: a slot counts only if its seal and the check over its marks
 * count and its table decodes; one wrong bit in a mark takes no table away that
 * is otherwise whole.
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
import type { SimulatedController } from './state.ts';
import { suppliesWrites } from './supply.ts';

/** The 448 bytes of a slot. */
export function slotBytes(controller: SimulatedController, slot: number): Uint8Array {
  return controller.hardware.eeprom.subarray(slot * SLOT_BYTES, (slot + 1) * SLOT_BYTES);
}

function writeMark(controller: SimulatedController, slot: number, mark: number, value: number): void {
  controller.hardware.writeEeprom(slot * SLOT_BYTES + mark, value);
}

/** At most one bit is other than in `exact`. */
function isNear(mark: number, exact: number): boolean {
  const off = mark ^ exact;
  return (off & (off - 1)) === 0;
}

/** A slot's marks; one wrong bit of those under the CRC, which finds it, is mended. */
function marksOf(controller: SimulatedController, slot: number): Uint8Array {
  const marks = slotBytes(controller, slot).slice(0, MARK_BYTES);
  const checked = marks.subarray(MARK.sequence);
  const flip = (bit: number): void => {
    checked[bit >> 3] = itemAt(checked, bit >> 3) ^ (1 << (bit & 7));
  };
  // Over bytes and the CRC behind them, low byte first, the CRC is 0.
  for (let bit = 0; bit < 8 * checked.length && crc16(checked) !== 0; bit++) {
    flip(bit);
    if (crc16(checked) !== 0) flip(bit);
  }
  return marks;
}

export const sequenceOf = (controller: SimulatedController, slot: number): number =>
  itemAt(marksOf(controller, slot), MARK.sequence);

/** Asked only of a slot that holds a table: then one wrong bit does not count. */
export const isConfirmed = (controller: SimulatedController, slot: number): boolean =>
  isNear(itemAt(slotBytes(controller, slot), MARK.confirm), CONFIRMED);

/** The seal is exact. */
export const isSealed = (controller: SimulatedController, slot: number): boolean =>
  slotBytes(controller, slot)[MARK.seal] === SEALED;

/** The CRC-32 in a table's last four bytes. */
export function tableCrc(table: Uint8Array): number {
  return new DataView(table.buffer, table.byteOffset).getUint32(table.length - 4, true);
}

/** The table a sealed slot holds, or undefined. */
export function tableIn(controller: SimulatedController, slot: number): Schedule | undefined {
  const marks = marksOf(controller, slot);
  if (!isNear(itemAt(marks, MARK.seal), SEALED) || crc16(marks.subarray(MARK.sequence)) !== 0)
    return undefined;
  const length = itemAt(marks, MARK.length) | (itemAt(marks, MARK.length + 1) << 8);
  return uploadedTable(controller, slot, length);
}

/** The table of `length` bytes that stands in a slot, whatever its marks say; undefined when it is none. */
export function uploadedTable(
  controller: SimulatedController,
  slot: number,
  length: number,
): Schedule | undefined {
  return openSchedule(slotBytes(controller, slot).slice(MARK_BYTES, MARK_BYTES + length));
}

/** Rewrites marks that are not as they count; only at good supply. */
export function mendMarks(controller: SimulatedController): void {
  if (!suppliesWrites(controller)) return;
  for (let slot = 0; slot < SLOT_COUNT; slot++) {
    const marks = slotBytes(controller, slot);
    const mended = mendedMarks(controller, slot);
    for (let at = MARK.seal; at < MARK_BYTES; at++) {
      if (marks[at] !== mended[at]) writeMark(controller, slot, at, itemAt(mended, at));
    }
  }
}

function mendedMarks(controller: SimulatedController, slot: number): Uint8Array {
  const holds = tableIn(controller, slot) !== undefined;
  const marks = holds ? marksOf(controller, slot) : slotBytes(controller, slot).slice(0, MARK_BYTES);
  const confirm = itemAt(marks, MARK.confirm);
  const confirmed = confirm === CONFIRMED || (holds && isNear(confirm, CONFIRMED));
  if (holds) marks[MARK.seal] = SEALED;
  else if (![ERASED, SEALED, CLEARED].includes(itemAt(marks, MARK.seal))) marks[MARK.seal] = CLEARED;
  marks[MARK.confirm] = confirmed ? CONFIRMED : UNCONFIRMED;
  return marks;
}

/** The confirmed slot that runs after a start; -1: none. */
export function chooseSlot(controller: SimulatedController): number {
  const able = [0, 1].filter((slot) => isConfirmed(controller, slot) && tableIn(controller, slot));
  if (able.length < 2) return able[0] ?? -1;
  return isNewer(sequenceOf(controller, 1), sequenceOf(controller, 0)) ? 1 : 0;
}

/** Sequence numbers wrap at 256. */
const isNewer = (one: number, other: number): boolean => one !== other && ((one - other) & 0xff) < 128;

/** The slot an upload goes to. */
export const freeSlot = (controller: SimulatedController): number =>
  controller.state.runningSlot === 0 ? 1 : 0;

/** What lies in the slot is given up, or makes room for an upload. */
export function clearMarks(controller: SimulatedController, slot: number): void {
  writeMark(controller, slot, MARK.seal, CLEARED);
  writeMark(controller, slot, MARK.confirm, UNCONFIRMED);
}

/** Seals a slot: the other marks first, the seal last. */
export function sealSlot(
  controller: SimulatedController,
  slot: number,
  sequence: number,
  length: number,
): void {
  markBytes(sequence, length).forEach((value, index) => {
    writeMark(controller, slot, MARK.sequence + index, value);
  });
  writeMark(controller, slot, MARK.seal, SEALED);
}

export function confirmSlot(controller: SimulatedController, slot: number): void {
  writeMark(controller, slot, MARK.confirm, CONFIRMED);
}
