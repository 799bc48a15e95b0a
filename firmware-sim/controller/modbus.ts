/**
 * Frames of Modbus RTU: when one is complete, and the CRC around it.
 *
 * Always holds: bytes that make no sense wait for silence and are forgotten;
 * a frame with a wrong CRC leaves no trace.
 */

import { itemAt } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';
import { FRAME_SILENCE_MICROS, OWN_PAUSE_MICROS, UPLOAD_REGISTERS } from '../../shared/registers.ts';

export const FUNCTION = {
  readCoils: 1,
  readHolding: 3,
  readInput: 4,
  writeCoil: 5,
  writeRegister: 6,
  writeCoils: 15,
  writeRegisters: 16,
  identify: 43,
} as const;

/** MEI type of device identification under function 43. */
export const MEI_IDENTIFY = 14;
const CRC_BYTES = 2;
const SMALLEST_FRAME = 4;
const LARGEST_FRAME = 256;
/** The longest request that a controller keeps whole: function 16 with all registers of an upload. */
const LONGEST_KEPT = 9 + 2 * UPLOAD_REGISTERS;

/** Microseconds of silence after which a receiver that has `arriving` starts afresh: frames of others follow one another closely. */
export function silenceMicros(arriving: readonly number[], unit: number): number {
  const own = arriving[0] === unit && arriving.length <= LONGEST_KEPT;
  return own ? OWN_PAUSE_MICROS : FRAME_SILENCE_MICROS;
}

/** Length that the frame beginning with `bytes` will have; Infinity while that is open, undefined for functions not known. */
function expectedLength(bytes: readonly number[]): number | undefined {
  const code = bytes[1];
  if (code === undefined) return Number.POSITIVE_INFINITY;
  if (code === FUNCTION.writeCoils || code === FUNCTION.writeRegisters) {
    const count = bytes[6];
    return count === undefined ? Number.POSITIVE_INFINITY : 7 + count + CRC_BYTES;
  }
  if (code === FUNCTION.identify) return 7;
  const fixed: number[] = [
    FUNCTION.readCoils,
    FUNCTION.readHolding,
    FUNCTION.readInput,
    FUNCTION.writeCoil,
    FUNCTION.writeRegister,
  ];
  return fixed.includes(code) ? 8 : undefined;
}

/** True when `bytes` end in their right CRC, low byte first. */
function isWhole(bytes: readonly number[]): boolean {
  if (bytes.length < SMALLEST_FRAME || bytes.length > LARGEST_FRAME) return false;
  const body = Uint8Array.from(bytes.slice(0, -CRC_BYTES));
  const crc = itemAt(bytes, bytes.length - 2) | (itemAt(bytes, bytes.length - 1) << 8);
  return crc16(body) === crc;
}

/** Takes a byte into `arriving`; gives the whole frame, CRC included, when this byte completes it. */
export function takeByte(arriving: number[], byte: number): number[] | undefined {
  if (arriving.length <= LARGEST_FRAME) arriving.push(byte);
  const { length } = arriving;
  // Of a function not known nobody can tell the length: its frame ends where its CRC is right.
  if ((expectedLength(arriving) ?? length) !== length || !isWhole(arriving)) return undefined;
  return arriving.splice(0);
}

/** The line has been silent: what arrived and made no frame is forgotten. */
export function takeSilence(arriving: number[]): void {
  arriving.length = 0;
}

/** A frame from unit and contents. */
export function frame(unit: number, contents: readonly number[]): Uint8Array {
  const crc = crc16(Uint8Array.of(unit, ...contents));
  return Uint8Array.of(unit, ...contents, crc & 0xff, crc >> 8);
}
