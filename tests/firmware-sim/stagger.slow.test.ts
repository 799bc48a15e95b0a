/** The stagger is law: whatever restarts or sets the clock a little, outputs follow one another. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import type { SimulatedDeviceOptions } from '../../firmware-sim/world/bench.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { board, DAILY, pass, START, setClock } from './controller/host.ts';

const MAKERS: Readonly<Record<string, (options: SimulatedDeviceOptions) => SimulatedDevice>> = {
  simulated: makeSimulatedDevice,
  core: (options) => makeCoreDevice(WASM, options),
};
const NOON = START + 12 * 3600;
const TABLE = encodeTable(DAILY).bytes;

/** Most outputs switched on within any one second from now on, over `seconds`. */
function mostAtOnce(device: SimulatedDevice, seconds: number): number {
  const lit: number[] = [];
  let before = device.levels;
  device.onLevels = (_, levels) => {
    levels.forEach((level, output) => {
      if (level !== 0 && before[output] === 0) lit.push(device.micros);
    });
    before = levels;
  };
  pass(device, seconds);
  device.onLevels = undefined;
  return Math.max(0, ...lit.map((at) => lit.filter((other) => other >= at && other < at + 900_000).length));
}

const RESTARTS: Readonly<Record<string, (device: SimulatedDevice) => void>> = {
  'port opened': (device) => device.openPort(),
  watchdog: (device) => device.reset('watchdog'),
  cut: (device) => {
    device.setPower(false);
    pass(device, 3);
    device.setPower(true);
  },
};

describe.each(Object.entries(MAKERS))('%s: lamps come back one by one', (_, make) => {
  it.each(Object.entries(RESTARTS))('after a clock set back, then: %s', (_name, restart) => {
    fc.assert(
      fc.property(fc.integer({ min: 5, max: 3600 }), fc.integer({ min: 0, max: 150 }), (back, wait) => {
        const device = make({ board: board(), utc: utcSeconds(NOON), clockRight: true, table: TABLE });
        pass(device, 13);
        setClock(device, device.utc - back);
        pass(device, wait);
        restart(device);
        expect(mostAtOnce(device, 140)).toBe(1);
        expect([...device.levels]).toEqual(Array(8).fill(255));
      }),
      { numRuns: 84 },
    );
  });
});
