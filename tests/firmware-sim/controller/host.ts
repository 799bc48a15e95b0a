/** A small host for the tests: asks one thing at a time and waits for the answer in virtual time. */

import { readFileSync } from 'node:fs';
import type { Device } from '../../../firmware-sim/device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type Board, boardSchema } from '../../../shared/board.ts';
import { crc16 } from '../../../shared/crc.ts';
import { decodeRecord, type LogRecord } from '../../../shared/log.ts';
import { HOLDING, LOG_BLOCKS, STATUS, STATUS_REGISTERS } from '../../../shared/registers.ts';
import type { Table } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { emptyTable } from '../../support/empty-table.ts';

export const SECOND = 1_000_000;
export const DAY = 86_400;

/** A board by name. */
export function board(id = 'mega328-relay8'): Board {
  const path = new URL(`../../../boards/${id}/board.json`, import.meta.url);
  return boardSchema.parse(JSON.parse(readFileSync(path, 'utf8')));
}

/** 2026-03-02, a Monday, 00:00 UTC. */
export const MONDAY = 9557;
export const START = MONDAY * DAY;

/** A table without any section, based on MONDAY. */
export const EMPTY: Table = emptyTable(MONDAY, 0xcafe0001);

/** Outputs of `mask` full from 08:00 for 12 h, every day for 200 days. */
export const DAILY: Table = {
  ...EMPTY,
  patterns: [{ start: 480, continuous: false, segments: [{ length: 720, level: 16 }] }],
  tracks: [[{ kind: 'plain', days: 200, pattern: 0 }]],
  bindings: [{ outputs: 0xff, track: 0, startDay: 0, steadyQuarters: undefined }],
};

let make = makeSimulatedDevice;

/** From now on `startedDevice` makes another sort of device; called before the tests that use it are read. */
export function startWith(maker: typeof makeSimulatedDevice): void {
  make = maker;
}

/** Whether `startedDevice` makes simulated controllers, whose image a test may change and give back. */
export const isSimulated = (): boolean => make === makeSimulatedDevice;

/** A device whose clock is right at `utc`, at 23 °C, started. */
export function startedDevice(utc = START, seed = 1, id?: string): SimulatedDevice {
  const device = make({
    board: board(id),
    utc: utcSeconds(utc),
    seed,
    clockRight: true,
    probe: 23 * 16,
  });
  device.run(SECOND / 2);
  return device;
}

/** Lets `seconds` pass. */
export function pass(device: Device, seconds: number): void {
  device.run(device.micros + seconds * SECOND);
}

/** Runs to just after UTC second `utc` of the world. */
export function runTo(device: Device, utc: number): void {
  pass(device, utc - device.utc);
}

/** Sends contents to unit 1 and waits up to `seconds` for the answer's contents; undefined: none. */
export function ask(device: Device, contents: number[], seconds = 2, unit = 1): number[] | undefined {
  const crc = crc16(Uint8Array.of(unit, ...contents));
  device.takeSent();
  device.receive(Uint8Array.of(unit, ...contents, crc & 0xff, crc >> 8));
  const until = device.micros + seconds * SECOND;
  const answer: number[] = [];
  while (device.micros < until) {
    device.run(device.micros + 1_000);
    const sent = device.takeSent();
    answer.push(...sent);
    if (answer.length > 0 && sent.length === 0) break;
  }
  if (answer.length === 0) return undefined;
  if (crc16(Uint8Array.from(answer)) !== 0) throw new Error('answer with a wrong CRC');
  return answer.slice(1, -2);
}

const words = (values: number[]): number[] => values.flatMap((value) => [value >> 8, value & 0xff]);

/** Function 16; gives the exception number, 0 for success. */
export function write(device: Device, address: number, values: number[]): number {
  const data = words(values);
  const answer = ask(device, [16, ...words([address, values.length]), data.length, ...data]);
  if (!answer) throw new Error('no answer');
  return answer[0] === 16 ? 0 : itemAt(answer, 1);
}

/** Function 4 (or 3); throws on an exception. */
export function read(device: Device, address: number, count: number, code = 4): number[] {
  const answer = ask(device, [code, ...words([address, count])]);
  if (answer?.[0] !== code) throw new Error(`exception ${answer?.[1]}`);
  return Array.from(
    { length: count },
    (_, index) => (itemAt(answer, 2 + 2 * index) << 8) | itemAt(answer, 3 + 2 * index),
  );
}

/** The status block. */
export const status = (device: Device): number[] => read(device, 0, STATUS_REGISTERS);

/** Two registers of the status as one number. */
export const long = (registers: number[], at: number): number =>
  itemAt(registers, at) * 0x10000 + itemAt(registers, at + 1);

/** All records the device gives, in order. */
export function records(device: Device): LogRecord[] {
  const [newest, oldest] = [long(status(device), STATUS.logNewest), long(status(device), STATUS.logOldest)];
  const found: LogRecord[] = [];
  for (let block = Math.floor(oldest / 15); block <= Math.floor(newest / 15); block++) {
    const registers = read(device, LOG_BLOCKS + 0x80 * (block % 256), 122);
    const bytes = Uint8Array.from(words(registers.slice(2)));
    for (let at = 0; at < 240; at += 16) {
      const record = decodeRecord(bytes.subarray(at, at + 16));
      if (record) found.push(record);
    }
  }
  return found;
}

/** Names of the records, faults with their number, `+` entered and `-` left. */
export function recordNames(device: Device): string[] {
  return records(device).map((record) =>
    record.type === 'fault' ? `fault${record.entered ? '+' : '-'}${record.fault}` : record.type,
  );
}

/** Begins an upload and sends all bytes; gives the session. */
export function upload(device: Device, bytes: Uint8Array): number {
  if (write(device, HOLDING.begin, [bytes.length])) throw new Error('begin refused');
  const [session = 0] = read(device, HOLDING.begin, 1, 3);
  for (let at = 0; at < bytes.length; at += 32) {
    const part = bytes.subarray(at, at + 32);
    const values = Array.from({ length: Math.ceil(part.length / 2) }, (_, index) => {
      return (itemAt(part, 2 * index) << 8) | (part[2 * index + 1] ?? 0);
    });
    const refused = write(device, HOLDING.table + at / 2, values);
    if (refused) throw new Error(`table bytes refused: ${refused}`);
  }
  return session;
}

const crcOf = (bytes: Uint8Array): number[] => {
  const crc = new DataView(bytes.buffer, bytes.byteOffset).getUint32(bytes.length - 4, true);
  return [crc >>> 16, crc & 0xffff];
};

/** Commits an uploaded table; gives the exception number. */
export const commit = (device: Device, session: number, bytes: Uint8Array): number =>
  write(device, HOLDING.commit, [session, bytes.length, ...crcOf(bytes)]);

/** Confirms the running trial; gives the exception number. */
export function confirm(device: Device, session: number, bytes: Uint8Array): number {
  const sequence = itemAt(status(device), STATUS.tableSequence);
  return write(device, HOLDING.confirm, [session, sequence, ...crcOf(bytes)]);
}

/** Uploads, commits and confirms `table`. */
export function flash(device: Device, table: Table): Uint8Array {
  const { bytes } = encodeTable(table);
  const session = upload(device, bytes);
  const refused = commit(device, session, bytes) || confirm(device, session, bytes);
  if (refused) throw new Error(`refused: ${refused}`);
  return bytes;
}

/** Sets the clock to `utc` plus `sub`/256 s. */
export const setClock = (device: Device, utc: number, sub = 0): number =>
  write(device, HOLDING.clock, [Math.floor(utc / 0x10000), utc % 0x10000, sub]);
