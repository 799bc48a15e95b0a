/**
 * The run log's records, as `log-format.md` has them.
 *
 * Always holds: `decodeRecord(encodeRecord(r))` gives `r` back; damaged bytes
 * decode to undefined, never to another record.
 */

import { crc16 } from './crc.ts';
import { type CivilDay, civilDay, type UtcSeconds, utcSeconds } from './units.ts';

export const RECORD_BYTES = 16;
export const LOG_BYTES = 4096;
export const PAGE_BYTES = 32;
export const RING_PAGES = 120;
export const SCRATCH_PAGES = 8;
export const RING_RECORDS = 240;
export const FIRST_SEQUENCE = 1;

export const RECORD_TYPE = {
  light: 1,
  proof: 2,
  boot: 3,
  visit: 4,
  hand: 5,
  handEnd: 6,
  workLight: 7,
  clockSet: 8,
  fault: 9,
  committed: 10,
  confirmed: 11,
  reverted: 12,
  visitsPassed: 13,
} as const;
export type RecordName = keyof typeof RECORD_TYPE;

export const BOOT_CAUSE = { powerOn: 1, brownOut: 2, watchdog: 3, external: 4 } as const;
export const VISIT_OUTCOME = { done: 0, late: 1, missed: 2, seen: 3, undone: 4 } as const;
export const HAND_END = { ranOut: 0, released: 1, powerLost: 2 } as const;
export const FAULT = {
  clockStopped: 1,
  clockMissing: 2,
  tickLost: 3,
  probeMissing: 4,
  logMissing: 5,
  supplyLow: 6,
  noTable: 7,
  roomOutside: 8,
  longestOn: 9,
  pinReadBack: 10,
  flash: 11,
  memory: 12,
  stack: 13,
  slotDamaged: 14,
  tickDrift: 15,
  settingsMended: 16,
} as const;
export type FaultName = keyof typeof FAULT;

/** Minutes since last alive when that is not known. */
export const OUTAGE_UNKNOWN = 0xffffff;
/** Half-degree value that stands for no temperature. */
export const NO_TEMPERATURE = -128;

interface Common {
  readonly sequence: number;
  readonly partial: boolean;
  readonly estimated: boolean;
}
interface Event {
  readonly time: UtcSeconds;
}
interface TableEvent extends Event {
  readonly crc: number;
  readonly tableSequence: number;
  /** With the flag bits that `log-format.md` gives for type 12. */
  readonly slot: number;
}

export type LogBody =
  | { readonly type: 'light'; readonly day: CivilDay; readonly onTime: readonly number[] }
  | {
      readonly type: 'proof';
      readonly day: CivilDay;
      readonly crc: number;
      readonly min: number;
      readonly mean: number;
      readonly max: number;
      readonly outsideMinutes: number;
      readonly resets: number;
    }
  | ({
      readonly type: 'boot';
      readonly cause: number;
      readonly outageMinutes: number;
      readonly resets: number;
    } & Event)
  | ({
      readonly type: 'visit';
      readonly kind: number;
      readonly outcome: number;
      readonly zones: number;
      readonly lateMinutes: number;
    } & Event)
  | ({
      readonly type: 'hand';
      readonly outputs: number;
      readonly level: number;
      readonly minutes: number;
      /** 1: output n acts n − 1 s after `time`. */
      readonly staggered: number;
    } & Event)
  | ({ readonly type: 'handEnd'; readonly outputs: number; readonly why: number } & Event)
  | ({ readonly type: 'workLight'; readonly begins: number; readonly seconds: number } & Event)
  | ({ readonly type: 'clockSet'; readonly forward: number; readonly oldSub: number } & Event)
  | ({
      readonly type: 'fault';
      readonly fault: number;
      readonly entered: number;
      readonly detail: number;
    } & Event)
  | ({ readonly type: 'committed' } & TableEvent)
  | ({ readonly type: 'confirmed' } & TableEvent)
  | ({ readonly type: 'reverted' } & TableEvent)
  | ({ readonly type: 'visitsPassed'; readonly count: number } & Event);

export type LogRecord = Common & LogBody;

const PARTIAL = 0x40;
const ESTIMATED = 0x80;

/** The 16 bytes of a record. */
export function encodeRecord(record: LogRecord): Uint8Array {
  const bytes = new Uint8Array(RECORD_BYTES);
  const view = new DataView(bytes.buffer);
  view.setUint16(0, record.sequence & 0xffff, true);
  view.setUint8(2, record.sequence >> 16);
  view.setUint8(
    3,
    RECORD_TYPE[record.type] | (record.partial ? PARTIAL : 0) | (record.estimated ? ESTIMATED : 0),
  );
  if (record.type === 'light' || record.type === 'proof') view.setUint16(4, record.day, true);
  else view.setUint32(4, record.time, true);
  writeBody(record, view);
  view.setUint16(14, crc16(bytes.subarray(0, 14)), true);
  return bytes;
}

function writeBody(record: LogRecord, view: DataView): void {
  switch (record.type) {
    case 'light':
      for (let output = 0; output < 8; output++) view.setUint8(6 + output, record.onTime[output] ?? 0);
      return;
    case 'proof':
      view.setUint16(6, record.crc, true);
      view.setInt8(8, record.min);
      view.setInt8(9, record.mean);
      view.setInt8(10, record.max);
      view.setUint16(11, record.outsideMinutes, true);
      view.setUint8(13, record.resets);
      return;
    case 'boot':
      view.setUint8(8, record.cause);
      view.setUint16(9, record.outageMinutes & 0xffff, true);
      view.setUint8(11, record.outageMinutes >> 16);
      view.setUint16(12, record.resets, true);
      return;
    case 'visit':
      view.setUint8(8, record.kind | (record.outcome << 4));
      view.setUint16(9, record.zones, true);
      view.setInt16(11, record.lateMinutes, true);
      return;
    default:
      writeOther(record, view);
  }
}

function writeOther(
  record: Exclude<LogRecord, { type: 'light' | 'proof' | 'boot' | 'visit' }>,
  view: DataView,
): void {
  switch (record.type) {
    case 'hand':
      view.setUint8(8, record.outputs);
      view.setUint8(9, record.level);
      view.setUint16(10, record.minutes, true);
      view.setUint8(12, record.staggered);
      return;
    case 'handEnd':
      view.setUint8(8, record.outputs);
      view.setUint8(9, record.why);
      return;
    case 'workLight':
      view.setUint8(8, record.begins);
      view.setUint16(9, record.seconds, true);
      return;
    case 'clockSet':
      view.setInt32(8, record.forward, true);
      view.setUint8(12, record.oldSub);
      return;
    case 'fault':
      view.setUint8(8, record.fault);
      view.setUint8(9, record.entered);
      view.setUint32(10, record.detail, true);
      return;
    case 'visitsPassed':
      view.setUint16(8, record.count, true);
      return;
    default:
      view.setUint32(8, record.crc, true);
      view.setUint8(12, record.tableSequence);
      view.setUint8(13, record.slot);
  }
}

const NAME_OF_TYPE = new Map<number, RecordName>(
  (Object.entries(RECORD_TYPE) as [RecordName, number][]).map(([name, type]) => [type, name]),
);

/** The record in 16 bytes, or undefined when CRC or type are wrong. */
export function decodeRecord(bytes: Uint8Array): LogRecord | undefined {
  if (bytes.length !== RECORD_BYTES) return undefined;
  const view = new DataView(bytes.buffer, bytes.byteOffset, RECORD_BYTES);
  if (view.getUint16(14, true) !== crc16(bytes.subarray(0, 14))) return undefined;
  const head = view.getUint8(3);
  const type = NAME_OF_TYPE.get(head & 0x3f);
  if (type === undefined) return undefined;
  return {
    sequence: view.getUint16(0, true) | (view.getUint8(2) << 16),
    partial: (head & PARTIAL) !== 0,
    estimated: (head & ESTIMATED) !== 0,
    ...readBody(type, view),
  };
}

function readBody(type: RecordName, view: DataView): LogBody {
  if (type === 'light') {
    const onTime = Array.from({ length: 8 }, (_, output) => view.getUint8(6 + output));
    return { type, day: civilDay(view.getUint16(4, true)), onTime };
  }
  if (type === 'proof') {
    return {
      type,
      day: civilDay(view.getUint16(4, true)),
      crc: view.getUint16(6, true),
      min: view.getInt8(8),
      mean: view.getInt8(9),
      max: view.getInt8(10),
      outsideMinutes: view.getUint16(11, true),
      resets: view.getUint8(13),
    };
  }
  return readEvent(type, utcSeconds(view.getUint32(4, true)), view);
}

function readEvent(type: Exclude<RecordName, 'light' | 'proof'>, time: UtcSeconds, view: DataView): LogBody {
  switch (type) {
    case 'boot': {
      const outageMinutes = view.getUint16(9, true) | (view.getUint8(11) << 16);
      return { type, time, cause: view.getUint8(8), outageMinutes, resets: view.getUint16(12, true) };
    }
    case 'visit': {
      const head = view.getUint8(8);
      const zones = view.getUint16(9, true);
      return { type, time, kind: head & 7, outcome: head >> 4, zones, lateMinutes: view.getInt16(11, true) };
    }
    case 'hand': {
      const minutes = view.getUint16(10, true);
      const staggered = view.getUint8(12);
      return { type, time, outputs: view.getUint8(8), level: view.getUint8(9), minutes, staggered };
    }
    case 'handEnd':
      return { type, time, outputs: view.getUint8(8), why: view.getUint8(9) };
    case 'workLight':
      return { type, time, begins: view.getUint8(8), seconds: view.getUint16(9, true) };
    case 'clockSet':
      return { type, time, forward: view.getInt32(8, true), oldSub: view.getUint8(12) };
    case 'fault': {
      const detail = view.getUint32(10, true);
      return { type, time, fault: view.getUint8(8), entered: view.getUint8(9), detail };
    }
    case 'visitsPassed':
      return { type, time, count: view.getUint16(8, true) };
    default: {
      const crc = view.getUint32(8, true);
      return { type, time, crc, tableSequence: view.getUint8(12), slot: view.getUint8(13) };
    }
  }
}
