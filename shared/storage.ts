/**
 * Where the controller keeps what survives power loss, as `behaviour.md` has it.
 *
 * Always holds: offsets are into the chip's own 1,024-byte EEPROM.
 */

import { crc16 } from './crc.ts';

export const EEPROM_BYTES = 1024;
export const SLOT_BYTES = 448;
export const SLOT_COUNT = 2;
export const MARK_BYTES = 8;
export const SETTINGS_AT = 896;
export const SETTINGS_COPY_BYTES = 64;
export const SETTINGS_COPIES = 2;

/** Offsets of the marks within a slot. */
export const MARK = { spare: 0, seal: 1, confirm: 2, sequence: 3, length: 4, check: 6 } as const;
export const ERASED = 0xff;
export const SEALED = 0xa5;
export const CONFIRMED = 0x5a;
export const UNCONFIRMED = 0xff;
/** Written over a seal before a slot is used again, and over a torn one. */
export const CLEARED = 0x00;

/** Sequence and length with their CRC-16. */
export function markBytes(sequence: number, length: number): Uint8Array {
  const body = Uint8Array.of(sequence, length & 0xff, length >> 8);
  const crc = crc16(body);
  return Uint8Array.of(...body, crc & 0xff, crc >> 8);
}

/** A settings copy: magic, unit, identity (u32), reference (u16, mV), CRC-16 over the first 8 bytes. */
export const SETTINGS = { magic: 0, unit: 1, identity: 2, reference: 6, check: 8 } as const;
/** The reference as it stands where nobody has set it. */
export const REFERENCE_UNSET = 0xffff;
export const SETTINGS_MAGIC = 0x4c;
export const SETTINGS_BYTES = 10;

export interface Settings {
  readonly unit: number;
  readonly identity: number;
  /** Millivolts of the chip's reference as a meter showed it; undefined: never held against one. */
  readonly reference: number | undefined;
}

/** The bytes of one settings copy. */
export function settingsBytes(settings: Settings): Uint8Array {
  const bytes = new Uint8Array(SETTINGS_BYTES).fill(0xff);
  const view = new DataView(bytes.buffer);
  view.setUint8(SETTINGS.magic, SETTINGS_MAGIC);
  view.setUint8(SETTINGS.unit, settings.unit);
  view.setUint32(SETTINGS.identity, settings.identity, true);
  view.setUint16(SETTINGS.reference, settings.reference ?? REFERENCE_UNSET, true);
  view.setUint16(SETTINGS.check, crc16(bytes.subarray(0, SETTINGS.check)), true);
  return bytes;
}

/** The settings in a copy, or undefined when it is not whole. */
export function readSettings(copy: Uint8Array): Settings | undefined {
  const view = new DataView(copy.buffer, copy.byteOffset, SETTINGS_BYTES);
  if (view.getUint8(SETTINGS.magic) !== SETTINGS_MAGIC) return undefined;
  if (view.getUint16(SETTINGS.check, true) !== crc16(copy.subarray(0, SETTINGS.check))) return undefined;
  const reference = view.getUint16(SETTINGS.reference, true);
  return {
    unit: view.getUint8(SETTINGS.unit),
    identity: view.getUint32(SETTINGS.identity, true),
    reference: reference === REFERENCE_UNSET ? undefined : reference,
  };
}
