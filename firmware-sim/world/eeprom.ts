/**
 * The chip's own EEPROM: 1,024 bytes, written byte by byte.
 *
 * Always holds: a byte that already has its value is not written.
 */

import { CONFIRMED, EEPROM_BYTES, MARK, MARK_BYTES, markBytes, SEALED } from '../../shared/storage.ts';
import { enqueue, erasedMemory, type Memory } from './memory.ts';

/** Microseconds a byte takes, erase and write (ATmega328P data sheet, "EEPROM programming time", from memory). */
const BYTE_MICROS = 3_400;

export const erasedEeprom = (): Memory => erasedMemory(EEPROM_BYTES, BYTE_MICROS);

/** Queues one byte. */
export function writeByte(eeprom: Memory, at: number, value: number, now: number): void {
  if (eeprom.intended[at] !== value) enqueue(eeprom, at, [value], now);
}

/** Makes slot 0 hold a confirmed table, as if it had been flashed before the world began. */
export function holdTable(eeprom: Memory, table: Uint8Array): void {
  for (const bytes of [eeprom.physical, eeprom.intended]) {
    bytes.set([SEALED, CONFIRMED], MARK.seal);
    bytes.set(markBytes(1, table.length), MARK.sequence);
    bytes.set(table, MARK_BYTES);
  }
}
