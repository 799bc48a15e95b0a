/**
 * The registers and coils that the host can read (protocol.md).
 *
 * Always holds: every block carries its session and its own address; nothing
 * read changes anything.
 */

import { itemAt } from '../../shared/assert.ts';
import { REFERENCE_MILLIVOLTS } from '../../shared/behaviour.ts';
import { OUTAGE_UNKNOWN } from '../../shared/log.ts';
import {
  BLOCK_BYTES,
  BLOCK_HEAD_REGISTERS,
  BLOCK_REGISTERS,
  BLOCK_STRIDE,
  HOLDING,
  LOG_BLOCK_ADDRESSES,
  LOG_BLOCKS,
  MAP_VERSION,
  NO_SLOT,
  NO_TEMPERATURE_REGISTER,
  RECORDS_PER_BLOCK,
  SLOT_STRIDE,
  STATE_FLAG,
  STATUS,
  STATUS_REGISTERS,
  TABLE_BLOCKS,
  TIME_FLAG,
  WORK_LIGHT_COIL,
} from '../../shared/registers.ts';
import { SLOT_BYTES, SLOT_COUNT } from '../../shared/storage.ts';
import { VISIT_KINDS } from '../../shared/table.ts';
import { scheduleQuartersAt } from '../schedule.ts';
import { logMemory, oldestSequence, recordBytes } from './log-ring.ts';
import { handOutputs, isWorkLight, overlaySecondsLeft } from './overlays.ts';
import { sequenceOf, slotBytes, tableCrc } from './slots.ts';
import type { SimulatedController } from './state.ts';
import { measuredSupply } from './supply.ts';
import { isStarting, shownLevels } from './switching.ts';
import { askingVisits, openZones } from './visits.ts';

const NO_CLOCK_LONGER = 0xffff;

/** The second the controller shows, and its fraction in 1/256 s. */
export function clockNow({ hardware, state }: SimulatedController): { second: number; sub: number } {
  return { second: hardware.tick() + state.skew, sub: hardware.subSecond() };
}

/** Outputs that are on, bit 0 is output 1. */
export function outputsOn(controller: SimulatedController): number {
  return shownLevels(controller).reduce((mask, level, index) => mask | (level ? 1 << index : 0), 0);
}

/** True when coil `coil` (0–8) reads as on. */
export function coilIsOn(controller: SimulatedController, coil: number): boolean {
  return coil === WORK_LIGHT_COIL
    ? isWorkLight(controller.state)
    : ((outputsOn(controller) >> coil) & 1) === 1;
}

/** Session of the open upload or of the trial; 0: none. */
export const uploadSession = ({ state }: SimulatedController): number =>
  state.upload?.session ?? state.retained.trial?.session ?? 0;

/** The status block. */
function statusRegisters(controller: SimulatedController): Uint16Array {
  const block = new Uint16Array(STATUS_REGISTERS);
  const { state, board } = controller;
  const { retained } = state;
  block[STATUS.session] = state.session;
  block[STATUS.mapVersion] = MAP_VERSION;
  block[STATUS.board] = board.number;
  block[STATUS.state] = stateFlags(controller);
  block[STATUS.outputs] = outputsOn(controller);
  const levels = shownLevels(controller);
  for (let pair = 0; pair < 4; pair++) {
    block[STATUS.levels + pair] = (itemAt(levels, 2 * pair) << 8) | itemAt(levels, 2 * pair + 1);
  }
  block[STATUS.faults] = retained.faults.present;
  block[STATUS.trialLeft] = retained.trial ? Math.max(0, retained.trial.deadline - retained.last) : 0;
  block[STATUS.resets] = retained.resets;
  block[STATUS.bootCause] = state.cause;
  putLong(block, STATUS.logNewest, state.newest);
  putLong(block, STATUS.logOldest, oldestSequence(controller));
  block[STATUS.temperature] = state.temperature ?? NO_TEMPERATURE_REGISTER;
  VISIT_KINDS.forEach((_, kind) => {
    block[STATUS.due + kind] = openZones(controller, kind);
  });
  block[STATUS.supply] = measuredSupply(controller);
  putLong(block, STATUS.identity, state.identity);
  block[STATUS.handMinutes] = retained.handMinutes;
  block[STATUS.overlayLeft] = Math.min(0xffff, overlaySecondsLeft(retained));
  block[STATUS.uploadSession] = uploadSession(controller);
  block[STATUS.outage] =
    retained.outage === OUTAGE_UNKNOWN ? NO_CLOCK_LONGER : Math.min(0xffff, retained.outage);
  putTime(controller, block);
  putTable(controller, block);
  return block;
}

function putLong(block: Uint16Array, at: number, value: number): void {
  block[at] = value >>> 16;
  block[at + 1] = value & 0xffff;
}

function putTime(controller: SimulatedController, block: Uint16Array): void {
  const { state, schedule } = controller;
  const { second, sub } = clockNow(controller);
  putLong(block, STATUS.seconds, second);
  block[STATUS.subSecond] = sub;
  block[STATUS.timeFlags] = (state.known ? TIME_FLAG.known : 0) | (state.estimated ? TIME_FLAG.estimated : 0);
  block[STATUS.offset] = scheduleQuartersAt(schedule, state.retained.last);
}

function putTable(controller: SimulatedController, block: Uint16Array): void {
  const { state, schedule } = controller;
  block[STATUS.slot] = schedule ? state.runningSlot : NO_SLOT;
  if (!schedule) return;
  block[STATUS.tableSequence] = sequenceOf(controller, state.runningSlot);
  putLong(block, STATUS.tableCrc, tableCrc(schedule.bytes));
  block[STATUS.tableLength] = schedule.bytes.length;
  putLong(block, STATUS.digest, schedule.table.digest);
}

function stateFlags(controller: SimulatedController): number {
  const { state, schedule } = controller;
  const { retained } = state;
  const asking = askingVisits(controller, retained.last).length > 0;
  return (
    (schedule ? STATE_FLAG.table : 0) |
    (retained.trial ? STATE_FLAG.trial : 0) |
    (isWorkLight(state) ? STATE_FLAG.workLight : 0) |
    (handOutputs(retained) !== 0 ? STATE_FLAG.hand : 0) |
    (asking ? STATE_FLAG.visitDue : 0) |
    (state.outside ? STATE_FLAG.roomOutside : 0) |
    (isStarting(controller) ? STATE_FLAG.starting : 0) |
    (state.upload ? STATE_FLAG.upload : 0)
  );
}

/** A block of 240 bytes behind its head, high byte of a register first. */
function dataBlock(session: number, address: number, bytes: Uint8Array): Uint16Array {
  const block = new Uint16Array(BLOCK_REGISTERS);
  block[0] = session;
  block[1] = address;
  for (let at = 0; at < BLOCK_BYTES; at += 2) {
    block[BLOCK_HEAD_REGISTERS + at / 2] = (itemAt(bytes, at) << 8) | itemAt(bytes, at + 1);
  }
  return block;
}

function tableBlock(controller: SimulatedController, address: number): Uint16Array {
  const slot = Math.floor((address - TABLE_BLOCKS) / SLOT_STRIDE);
  const from = ((address % SLOT_STRIDE) / BLOCK_STRIDE) * BLOCK_BYTES;
  const bytes = new Uint8Array(BLOCK_BYTES).fill(0xff);
  if (from < SLOT_BYTES) bytes.set(slotBytes(controller, slot).subarray(from, from + BLOCK_BYTES));
  return dataBlock(controller.state.session, address, bytes);
}

/** The newest block of the log that has begun and is read at `address`. */
function logBlock(controller: SimulatedController, address: number): Uint16Array | undefined {
  const { state } = controller;
  if (!logMemory(controller)) return undefined;
  const place = (address - LOG_BLOCKS) / BLOCK_STRIDE;
  const newest = Math.floor(state.newest / RECORDS_PER_BLOCK);
  const laps = Math.max(0, Math.floor((newest - place) / LOG_BLOCK_ADDRESSES));
  const block = place + laps * LOG_BLOCK_ADDRESSES;
  const bytes = new Uint8Array(BLOCK_BYTES).fill(0xff);
  for (let index = 0; index < RECORDS_PER_BLOCK; index++) {
    const record = recordBytes(controller, block * RECORDS_PER_BLOCK + index);
    if (record) bytes.set(record, index * record.length);
  }
  return dataBlock(state.session, block, bytes);
}

function inputBlock(controller: SimulatedController, address: number): Uint16Array | undefined {
  if (address === 0) return statusRegisters(controller);
  const isTable = address >= TABLE_BLOCKS && address < TABLE_BLOCKS + SLOT_COUNT * SLOT_STRIDE;
  if (isTable) return tableBlock(controller, address);
  return address >= LOG_BLOCKS ? logBlock(controller, address) : new Uint16Array(0);
}

/** `count` input registers from `from` on; undefined when the log memory does not answer. */
export function readInput(
  controller: SimulatedController,
  from: number,
  count: number,
): number[] | undefined {
  const values: number[] = [];
  let blockAt = -1;
  let block: Uint16Array | undefined;
  for (let address = from; address < from + count; address++) {
    const at = address - (address % BLOCK_STRIDE);
    if (at !== blockAt) {
      block = inputBlock(controller, at);
      blockAt = at;
    }
    if (!block) return undefined;
    values.push(block[address - at] ?? 0);
  }
  return values;
}

/** One holding register as read. */
export function readHolding(controller: SimulatedController, address: number): number {
  const { state } = controller;
  const { second, sub } = clockNow(controller);
  const values = new Map<number, number>([
    [HOLDING.begin, uploadSession(controller)],
    [HOLDING.clock, second >>> 16],
    [HOLDING.clock + 1, second & 0xffff],
    [HOLDING.clock + 2, sub],
    [HOLDING.handMinutes, state.retained.handMinutes],
    [HOLDING.unit, state.unit],
    [HOLDING.identity, state.identity >>> 16],
    [HOLDING.identity + 1, state.identity & 0xffff],
    [HOLDING.reference, state.reference ?? REFERENCE_MILLIVOLTS],
  ]);
  return values.get(address) ?? 0;
}
