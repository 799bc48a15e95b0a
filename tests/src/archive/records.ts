/** Made-up but well-formed log records for the archive's tests. */

import { encodeRecord, type LogBody, type LogRecord } from '../../../shared/log.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';

/** 2026-02-16. */
export const FIRST_DAY = civilDay(9543);

/** A body of every kind, by turns; the day moves on with the sequence number. */
function bodyOf(sequence: number): LogBody {
  const day = civilDay(FIRST_DAY + Math.floor(sequence / 4));
  const time = utcSeconds(day * 86_400 + (sequence % 4) * 3_600);
  switch (sequence % 7) {
    case 0:
      return { type: 'light', day, onTime: [120, 0, 80, 0, 250, 1, 2, 3] };
    case 1:
      return { type: 'proof', day, crc: 0xbeef, min: 42, mean: 47, max: -128, outsideMinutes: 7, resets: 1 };
    case 2:
      return { type: 'boot', time, cause: 1, outageMinutes: 95, resets: 3 };
    case 3:
      return { type: 'visit', time, kind: 1, outcome: 0, zones: 5, lateMinutes: -20 };
    case 4:
      return { type: 'clockSet', time, forward: -4, oldSub: 128 };
    case 5:
      return { type: 'fault', time, fault: 1, entered: 1, detail: 0xdeadbeef };
    default:
      return { type: 'confirmed', time, crc: 0xcafebabe, tableSequence: 2, slot: 1 };
  }
}

/** The record with that number. */
export function record(sequence: number): LogRecord {
  return { sequence, partial: sequence % 5 === 0, estimated: sequence % 11 === 0, ...bodyOf(sequence) };
}

/** Raw records first … last. */
export function raw(first: number, last: number): Uint8Array[] {
  return Array.from({ length: last - first + 1 }, (_, i) => encodeRecord(record(first + i)));
}
