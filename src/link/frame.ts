/**
 * Modbus RTU frames as the host must see them: which reply answers a request,
 * and where in the received bytes it is.
 *
 * Always holds: a reply counts only when unit, function, length and CRC-16 are
 * right and everything it repeats of its request is the same. Silence between
 * bytes ends nothing (USB bridges hand bytes over in batches); instead a frame
 * may begin at any received byte, so that noise before it does no harm.
 */

import { itemAt } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';

/** The longest frame on the wire (Modbus over serial line). */
export const MAX_FRAME_BYTES = 256;
const EXCEPTION_BYTES = 5;
const CRC_BYTES = 2;
const IDENTIFICATION = 43;
const BROADCAST = 0;

/** What the reply to a request must look like. */
export interface ExpectedReply {
  readonly unit: number;
  readonly code: number;
  /** Bytes from the third on that repeat the request. */
  readonly head: Uint8Array;
  /** Whole length with CRC; undefined when the reply itself tells. */
  readonly length: number | undefined;
}

/** The reply that `request` (a whole frame) asks for; undefined when there will be none. */
export function expectReply(request: Uint8Array): ExpectedReply | undefined {
  const [unit = 0, code = 0] = request;
  if (unit === BROADCAST) return undefined;
  const count = (itemAt(request, 4) << 8) | itemAt(request, 5);
  switch (code) {
    case 1:
    case 2:
      return block(unit, code, Math.ceil(count / 8));
    case 3:
    case 4:
      return block(unit, code, 2 * count);
    case 5:
    case 6:
    case 15:
    case 16:
      return { unit, code, head: request.slice(2, 6), length: 8 };
    case IDENTIFICATION:
      return { unit, code, head: request.slice(2, 4), length: undefined };
    default:
      return { unit, code, head: new Uint8Array(), length: undefined };
  }
}

function block(unit: number, code: number, bytes: number): ExpectedReply {
  return { unit, code, head: Uint8Array.of(bytes), length: 3 + bytes + CRC_BYTES };
}

/** The first whole reply in `bytes` that meets `expected`; undefined while there is none. */
export function findReply(bytes: Uint8Array, expected: ExpectedReply): Uint8Array | undefined {
  for (let at = 0; at + EXCEPTION_BYTES <= bytes.length; at++) {
    if (bytes[at] !== expected.unit) continue;
    const frame = replyAt(bytes.subarray(at), expected);
    if (frame !== undefined) return frame;
  }
  return undefined;
}

function replyAt(bytes: Uint8Array, expected: ExpectedReply): Uint8Array | undefined {
  if (bytes[1] === (expected.code | 0x80)) return checked(bytes, EXCEPTION_BYTES);
  if (bytes[1] !== expected.code) return undefined;
  if (!expected.head.every((byte, i) => bytes[2 + i] === byte)) return undefined;
  const length = expected.length ?? identificationLength(bytes);
  return length === undefined ? undefined : checked(bytes, length);
}

function checked(bytes: Uint8Array, length: number): Uint8Array | undefined {
  if (bytes.length < length) return undefined;
  const frame = Uint8Array.from(bytes.subarray(0, length));
  const crc = itemAt(frame, length - 2) | (itemAt(frame, length - 1) << 8);
  return crc16(frame.subarray(0, length - CRC_BYTES)) === crc ? frame : undefined;
}

/** A reply to function 43/14: eight bytes, then objects of number, length, text. */
function identificationLength(bytes: Uint8Array): number | undefined {
  const objects = bytes[7];
  if (objects === undefined) return undefined;
  let at = 8;
  for (let i = 0; i < objects; i++) {
    const size = bytes[at + 1];
    if (size === undefined) return undefined;
    at += 2 + size;
  }
  return at + CRC_BYTES;
}
