/**
 * What failing supplies and worn cells do to a slot's marks: one wrong bit in
 * any of them takes no confirmed table away, at good supply and at low.
 */

import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import type { SimulatedDeviceOptions } from '../../firmware-sim/world/bench.ts';
import { itemAt } from '../../shared/assert.ts';
import { STATUS } from '../../shared/registers.ts';
import { MARK_BYTES } from '../../shared/storage.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { chip } from './chips/atmega328p/chip.ts';
import { board, DAILY, pass, START, status } from './controller/host.ts';

const TABLE = encodeTable(DAILY).bytes;
const BITS = Array.from({ length: 8 * MARK_BYTES }, (_, bit) => bit);

const MAKERS: Readonly<Record<string, (options: SimulatedDeviceOptions) => SimulatedDevice>> = {
  simulated: makeSimulatedDevice,
  core: (options) => makeCoreDevice(WASM, options),
  chip: (options) => chip(options),
};

/** A device off, with one bit of its slot's marks wrong; then on again. */
function withWrongBit(make: (options: SimulatedDeviceOptions) => SimulatedDevice, bit: number, low: boolean) {
  const device = make({ board: board(), utc: utcSeconds(START), clockRight: true, table: TABLE });
  pass(device, 1);
  device.setPower(false);
  const { eeprom } = device.memories;
  const right = eeprom.slice(0, MARK_BYTES);
  eeprom[bit >> 3] = itemAt(eeprom, bit >> 3) ^ (1 << (bit & 7));
  const wrong = eeprom.slice(0, MARK_BYTES);
  device.setTrouble('supply low', low);
  device.setPower(true);
  pass(device, 2);
  const registers = status(device);
  device.setPower(false);
  return { slot: registers[STATUS.slot], sequence: registers[STATUS.tableSequence], right, wrong, device };
}

describe.each(Object.entries(MAKERS))('one wrong bit in a mark, %s', (name, make) => {
  // The chip takes its time: every fifth bit there reaches every byte.
  const bits = name === 'chip' ? BITS.filter((bit) => bit % 5 === 0) : BITS;

  it.each([false, true])('leaves the confirmed table running (supply low: %s)', (low) => {
    for (const bit of bits) {
      const { slot, sequence, right, wrong, device } = withWrongBit(make, bit, low);
      expect([bit, slot, sequence]).toEqual([bit, 0, 1]);
      const after = device.memories.eeprom.slice(0, MARK_BYTES);
      // At low supply nothing is written; byte 0 means nothing and stays.
      expect([bit, [...after]]).toEqual([bit, [...(low || bit < 8 ? wrong : right)]]);
    }
  });
});
