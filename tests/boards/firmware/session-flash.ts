/**
 * A host that asks a controller and flashes it, whole or with something that goes
 * wrong, in steps of a length of their own: two devices stay at the same time.
 */

import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import { HOLDING, STATUS } from '../../../shared/registers.ts';
import type { Table } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { hex } from '../../firmware-sim/controller/vectors.ts';

export const SECOND = 1_000_000;
/** Enough for the longest request, its work in the EEPROM and the answer. */
export const REQUEST_MICROS = 400_000;

export const words = (...values: number[]): number[] =>
  values.flatMap((value) => [(value >> 8) & 0xff, value & 0xff]);

export function framed(contents: readonly number[], unit = 1): Uint8Array {
  const crc = crc16(Uint8Array.of(unit, ...contents));
  return Uint8Array.of(unit, ...contents, crc & 0xff, crc >> 8);
}

/** Sends contents to a unit; gives whatever came back. */
export function exchange(device: SimulatedDevice, contents: readonly number[], unit = 1): string {
  device.receive(framed(contents, unit));
  device.run(device.micros + REQUEST_MICROS);
  return hex(device.takeSent());
}

export const write = (device: SimulatedDevice, address: number, values: readonly number[]): string =>
  exchange(device, [16, ...words(address, values.length), 2 * values.length, ...words(...values)]);

export const read = (device: SimulatedDevice, code: number, address: number, count: number): string =>
  exchange(device, [code, ...words(address, count)]);

/** One register of an answer to a read of one. */
const register = (answer: string): number => Number.parseInt(answer.slice(6, 10), 16) || 0;

/** What goes wrong with a flash, if anything. */
export type Fault =
  | 'none'
  | 'stops after begin'
  | 'stops half way'
  | 'not confirmed'
  | 'given up'
  | 'wrong session'
  | 'wrong length'
  | 'wrong crc'
  | 'wrong contents'
  | 'too far'
  | 'begun twice'
  | 'cut within'
  | 'supply low'
  | 'reset on trial'
  | 'begun on trial';

export const FAULTS: readonly Fault[] = [
  ...(['none', 'none', 'none', 'stops after begin', 'stops half way', 'not confirmed', 'given up'] as const),
  ...(['wrong session', 'wrong length', 'wrong crc', 'wrong contents', 'too far', 'begun twice'] as const),
  ...(['cut within', 'supply low', 'reset on trial', 'begun on trial'] as const),
];

function crcOf(bytes: Uint8Array): readonly number[] {
  const crc = new DataView(bytes.buffer, bytes.byteOffset).getUint32(bytes.length - 4, true);
  return [crc >>> 16, crc & 0xffff];
}

/** The same at a supply too low to write, which is good again afterwards. */
function atLowSupply(device: SimulatedDevice, address: number, values: readonly number[]): string {
  device.setTrouble('supply low', true);
  device.run(device.micros + 2 * SECOND);
  const said = write(device, address, values);
  device.setTrouble('supply low', false);
  device.run(device.micros + 2 * SECOND);
  return said;
}

/** Sends a table's bytes, or some of them; false when nothing more is to come. */
function send(device: SimulatedDevice, bytes: Uint8Array, fault: Fault, said: string[]): boolean {
  for (let at = 0; at < bytes.length; at += 32) {
    const part = bytes.subarray(at, at + 32);
    const values = Array.from({ length: Math.ceil(part.length / 2) }, (_, i) => {
      const high = itemAt(part, 2 * i) ^ (fault === 'wrong contents' && at + i === 0 ? 1 : 0);
      return 256 * high + (part[2 * i + 1] ?? 0xff);
    });
    if (fault === 'supply low') said.push(atLowSupply(device, HOLDING.table + at / 2, values));
    said.push(write(device, HOLDING.table + at / 2, values));
    if (fault === 'stops half way' && at > bytes.length / 2) return false;
    if (fault !== 'cut within' || at === 0) continue;
    device.setPower(false);
    device.setPower(true);
    device.run(device.micros + 2 * SECOND);
    return false;
  }
  return true;
}

/** Flashes a table, with a fault. */
export function flash(device: SimulatedDevice, table: Table, fault: Fault): string {
  const { bytes } = encodeTable(table);
  const said: string[] = [write(device, HOLDING.begin, [bytes.length])];
  const session = register(read(device, 3, HOLDING.begin, 1));
  if (fault === 'begun twice') said.push(write(device, HOLDING.begin, [bytes.length]));
  if (fault === 'stops after begin' || !send(device, bytes, fault, said)) return said.join();
  if (fault === 'too far') said.push(write(device, HOLDING.table + 224, [1, 2]));
  const [high = 0, low = 0] = crcOf(bytes);
  const own = fault === 'wrong session' ? session ^ 1 : session;
  const length = bytes.length + (fault === 'wrong length' ? 1 : 0);
  const committing = [own, length, high, low ^ (fault === 'wrong crc' ? 1 : 0)];
  if (fault === 'supply low') said.push(atLowSupply(device, HOLDING.commit, committing));
  said.push(write(device, HOLDING.commit, committing));
  if (fault === 'given up') said.push(write(device, HOLDING.giveUp, [session]));
  if (fault === 'begun on trial') said.push(write(device, HOLDING.begin, [bytes.length]));
  if (fault === 'reset on trial') {
    device.openPort();
    device.run(device.micros + 4 * SECOND);
  }
  if (fault === 'not confirmed') return said.join();
  const sequence = register(read(device, 4, STATUS.tableSequence, 1));
  if (fault === 'supply low') said.push(atLowSupply(device, HOLDING.confirm, [session, sequence, high, low]));
  // Another's session, sequence or seal may not; a confirm may be repeated, then by any session.
  for (const values of [
    [session ^ 2, sequence, high, low],
    [session, sequence ^ 1, high, low],
    [session, sequence, high, low ^ 0x100],
    [session, sequence, high, low],
    [session ^ 2, sequence, high, low],
  ])
    said.push(write(device, HOLDING.confirm, values));
  return said.join();
}
