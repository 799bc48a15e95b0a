/** The supply's reading: held against a meter once, kept over power cuts and new firmware, law for writing. */

import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import type { SimulatedDeviceOptions } from '../../firmware-sim/world/bench.ts';
import { EXCEPTION, HOLDING, STATUS } from '../../shared/registers.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { chip } from './chips/atmega328p/chip.ts';
import { board, pass, read, START, status, write } from './controller/host.ts';

const MAKERS: Readonly<Record<string, (options: SimulatedDeviceOptions) => SimulatedDevice>> = {
  simulated: makeSimulatedDevice,
  core: (options) => makeCoreDevice(WASM, options),
  chip: (options) => chip(options),
};
/** The chip's converter knows 1,024 steps: some 22 mV at 5 V (data sheet, ADC). */
const STEP = 25;

describe.each(Object.entries(MAKERS))('the supply, %s', (_, make) => {
  const started = (): SimulatedDevice => {
    const device = make({ board: board(), utc: utcSeconds(START), clockRight: true });
    pass(device, 2);
    return device;
  };
  const millivolts = (device: SimulatedDevice): number => status(device)[STATUS.supply] ?? 0;
  const reference = (device: SimulatedDevice): number | undefined => read(device, HOLDING.reference, 1, 3)[0];

  it('reads by the reference that was set, also after a cut', () => {
    const device = started();
    expect(Math.abs(millivolts(device) - 5_000)).toBeLessThan(STEP);
    expect(reference(device)).toBe(1_100);
    for (const wrong of [0, 899, 1_301])
      expect(write(device, HOLDING.reference, [wrong])).toBe(EXCEPTION.value);
    expect(write(device, HOLDING.reference, [1_078])).toBe(0);
    device.setPower(false);
    pass(device, 1);
    device.setPower(true);
    pass(device, 2);
    expect(reference(device)).toBe(1_078);
    expect(Math.abs(millivolts(device) - 4_900)).toBeLessThan(STEP);
  });

  it('that only seemed too low can be told so, and what is too low by the meter stays so', () => {
    const device = started();
    device.setTrouble('supply low', true);
    pass(device, 2);
    expect(write(device, HOLDING.begin, [40])).toBe(EXCEPTION.busy);
    // 4,300 mV by 1,110 mV for 1,100 are 4,339 mV, by 1,200 mV 4,691 mV.
    expect(write(device, HOLDING.reference, [1_110])).toBe(EXCEPTION.busy);
    expect(reference(device)).toBe(1_100);
    expect(write(device, HOLDING.reference, [1_200])).toBe(0);
    expect(write(device, HOLDING.begin, [40])).toBe(0);
  });
});

it.each(['simulated', 'core'])('a board of 3.3 V has a limit of its own, %s', (name) => {
  const make = MAKERS[name] ?? makeSimulatedDevice;
  const low = { ...board(), supply: { neededMillivolts: 2_900 } };
  const device = make({ board: low, utc: utcSeconds(START), clockRight: true });
  pass(device, 2);
  expect(status(device)[STATUS.supply]).toBe(3_400);
  expect(write(device, HOLDING.begin, [40])).toBe(0);
  device.setTrouble('supply low', true);
  pass(device, 2);
  expect(status(device)[STATUS.supply]).toBe(2_700);
  expect(write(device, HOLDING.unit, [7])).toBe(EXCEPTION.busy);
});
