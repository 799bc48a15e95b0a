/**
 * The status block of a controller, from registers to values with units.
 *
 * Always holds: registers are counted as in `registers.ts`; `payload` there
 * begins after session and own address.
 */

import { FIRST_SEQUENCE, RING_RECORDS } from '../../../shared/log.ts';
import {
  BLOCK_HEAD_REGISTERS,
  NO_SLOT,
  NO_TEMPERATURE_REGISTER,
  STATE_FLAG,
  STATUS,
  TIME_FLAG,
} from '../../../shared/registers.ts';
import { VISIT_KINDS, type VisitKind } from '../../../shared/table.ts';
import { type UtcSeconds, utcSeconds } from '../../../shared/units.ts';

export interface Status {
  readonly session: number;
  readonly mapVersion: number;
  /** Board number, as in `board.json`. */
  readonly board: number;
  readonly time: ClockReading;
  readonly running: RunningTable | undefined;
  readonly state: Readonly<Record<keyof typeof STATE_FLAG, boolean>>;
  /** Level bytes 0–255 of outputs 1–8. */
  readonly levels: readonly number[];
  /** Numbers of the faults present (`log-format.md`). */
  readonly faults: readonly number[];
  /** Seconds left of the trial. */
  readonly trialLeft: number;
  readonly resets: number;
  readonly bootCause: number;
  /** Sequence numbers in the log; 0: none. */
  readonly logNewest: number;
  readonly logOldest: number;
  /** Degrees Celsius. */
  readonly temperature: number | undefined;
  /** Zones with a visit due, bit 0 is the controller's first zone. */
  readonly due: Readonly<Record<VisitKind, number>>;
  /** Millivolts; undefined when not measured. */
  readonly supply: number | undefined;
  /** 0: none given yet. */
  readonly identity: number;
  readonly handMinutes: number;
  readonly overlayLeft: number;
  readonly uploadSession: number;
  /** Minutes without power before the last restart; undefined: unknown or longer than 45 days. */
  readonly outage: number | undefined;
}

export interface ClockReading {
  readonly seconds: UtcSeconds;
  /** 1/256 s. */
  readonly sub: number;
  readonly known: boolean;
  readonly estimated: boolean;
  /** UTC offset now, quarter hours. */
  readonly quarters: number;
}

export interface RunningTable {
  readonly slot: number;
  readonly sequence: number;
  readonly crc: number;
  readonly length: number;
  readonly digest: number;
}

const OUTAGE_UNKNOWN_REGISTER = 0xffff;
/** Sequence numbers have 24 bits. */
const SEQUENCE_MAX = 0xffffff;

/** Reads the status registers after session and own address. */
export function readStatus(session: number, payload: readonly number[]): Status {
  const u16 = (at: number): number => payload[at - BLOCK_HEAD_REGISTERS] ?? 0;
  const u32 = (at: number): number => u16(at) * 0x10000 + u16(at + 1);
  const optional = (at: number, none: number): number | undefined => (u16(at) === none ? undefined : u16(at));
  const temperature = optional(STATUS.temperature, NO_TEMPERATURE_REGISTER);
  return {
    session,
    mapVersion: u16(STATUS.mapVersion),
    board: u16(STATUS.board),
    time: readClock(u16, u32),
    running: readRunning(u16, u32),
    state: readState(u16(STATUS.state)),
    levels: Array.from({ length: 8 }, (_, i) => (u16(STATUS.levels + (i >> 1)) >> (i % 2 ? 0 : 8)) & 0xff),
    faults: Array.from({ length: 16 }, (_, i) => i + 1).filter((n) => u16(STATUS.faults) & (1 << (n - 1))),
    trialLeft: u16(STATUS.trialLeft),
    resets: u16(STATUS.resets),
    bootCause: u16(STATUS.bootCause),
    logNewest: u32(STATUS.logNewest),
    logOldest: u32(STATUS.logOldest),
    temperature: temperature === undefined ? undefined : signed(temperature) / 16,
    due: readDue(u16),
    supply: optional(STATUS.supply, 0),
    identity: u32(STATUS.identity),
    handMinutes: u16(STATUS.handMinutes),
    overlayLeft: u16(STATUS.overlayLeft),
    uploadSession: u16(STATUS.uploadSession),
    outage: optional(STATUS.outage, OUTAGE_UNKNOWN_REGISTER),
  };
}

/** Whether the ring can hold the records that the status claims (`log-format.md`). */
export function isPossibleLog({ logNewest, logOldest }: Status): boolean {
  if (logNewest === 0) return logOldest === 0;
  const first = Math.max(FIRST_SEQUENCE, logNewest - RING_RECORDS + 1);
  return logNewest <= SEQUENCE_MAX && logOldest >= first && logOldest <= logNewest;
}

type Read = (at: number) => number;

const signed = (value: number): number => (value << 16) >> 16;

function readClock(u16: Read, u32: Read): ClockReading {
  const flags = u16(STATUS.timeFlags);
  return {
    seconds: utcSeconds(u32(STATUS.seconds)),
    sub: u16(STATUS.subSecond),
    known: (flags & TIME_FLAG.known) !== 0,
    estimated: (flags & TIME_FLAG.estimated) !== 0,
    quarters: signed(u16(STATUS.offset)),
  };
}

function readRunning(u16: Read, u32: Read): RunningTable | undefined {
  const slot = u16(STATUS.slot);
  if (slot === NO_SLOT) return undefined;
  return {
    slot,
    sequence: u16(STATUS.tableSequence),
    crc: u32(STATUS.tableCrc),
    length: u16(STATUS.tableLength),
    digest: u32(STATUS.digest),
  };
}

function readState(bits: number): Status['state'] {
  const has = (flag: keyof typeof STATE_FLAG): boolean => (bits & STATE_FLAG[flag]) !== 0;
  return {
    table: has('table'),
    trial: has('trial'),
    workLight: has('workLight'),
    hand: has('hand'),
    visitDue: has('visitDue'),
    roomOutside: has('roomOutside'),
    starting: has('starting'),
    upload: has('upload'),
  };
}

function readDue(u16: Read): Record<VisitKind, number> {
  const due: Record<VisitKind, number> = { look: 0, lift: 0, turn: 0, harvest: 0 };
  for (const [i, kind] of VISIT_KINDS.entries()) due[kind] = u16(STATUS.due + i);
  return due;
}

export interface HostTime {
  readonly seconds: UtcSeconds;
  /** 1/256 s. */
  readonly sub: number;
}

export interface BoardFacts {
  readonly id: string;
  readonly title: string;
  readonly number: number;
  /** How many outputs it has. */
  readonly outputs: number;
  /** Millivolts below which it writes nothing to its memory. */
  readonly supplyNeeded: number;
}
