/** The stagger is law: whatever restarts, sets the clock or brings another table, outputs follow one another. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import type { SimulatedDeviceOptions } from '../../firmware-sim/world/bench.ts';
import { itemAt } from '../../shared/assert.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { chip } from './chips/atmega328p/chip.ts';
import { board, commit, DAILY, flash, pass, START, setClock, upload } from './controller/host.ts';

type Make = (options: SimulatedDeviceOptions) => SimulatedDevice;

const CONTROLLERS: Readonly<Record<string, Make>> = {
  simulated: makeSimulatedDevice,
  core: (options) => makeCoreDevice(WASM, options),
};
const HOUR = 3_600;
const DAY = 24 * HOUR;
const NOON = START + 12 * HOUR;
/** All eight outputs from 08:00 to 20:00. */
const TABLE = encodeTable(DAILY).bytes;
/** All eight from 20:00 to 08:00. */
const NIGHT = { ...DAILY, digest: 5, patterns: [{ ...itemAt(DAILY.patterns, 0), start: 20 * 60 }] };

/** Most outputs switched, on or off, within any one second of what `live` does, and of `seconds` more. */
function mostAtOnce(device: SimulatedDevice, live: () => void, seconds: number): number {
  const switched: number[] = [];
  let before = device.levels;
  device.onLevels = (_, levels) => {
    levels.forEach((level, output) => {
      if ((level !== 0) !== (before[output] !== 0)) switched.push(device.micros);
    });
    before = levels;
  };
  live();
  pass(device, seconds);
  device.onLevels = undefined;
  return Math.max(
    0,
    ...switched.map((at) => switched.filter((other) => other >= at && other < at + 900_000).length),
  );
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

/** A device with all outputs on. */
function lit(make: Make, utc = NOON): SimulatedDevice {
  const device = make({ board: board(), utc: utcSeconds(utc), clockRight: true, table: TABLE });
  pass(device, 13);
  return device;
}

/** The clock set back, then a restart: lamps come back one by one. */
function expectOneByOne(
  make: Make,
  restart: (device: SimulatedDevice) => void,
  back: number,
  wait: number,
): void {
  const device = lit(make);
  setClock(device, device.utc - back);
  pass(device, wait);
  restart(device);
  expect(mostAtOnce(device, () => undefined, 140)).toBe(1);
  expect([...device.levels]).toEqual(Array(8).fill(255));
}

describe.each(Object.entries(CONTROLLERS))('%s: lamps come back one by one', (_, make) => {
  it.each(Object.entries(RESTARTS))('after a clock set back, then: %s', (_name, restart) => {
    fc.assert(
      fc.property(fc.integer({ min: 5, max: 3600 }), fc.integer({ min: 0, max: 150 }), (back, wait) =>
        expectOneByOne(make, restart, back, wait),
      ),
      { numRuns: 84 },
    );
  });
});

/** What makes all outputs want to switch while the controller runs; `by` is random, 0 to 1. */
const CHANGES: Readonly<Record<string, (device: SimulatedDevice, by: number) => void>> = {
  'a clock set far, into the night': (device, by) => {
    setClock(device, START - 10 * DAY + Math.floor(by * 20) * DAY + 2 * HOUR + Math.floor(by * 10_000));
  },
  'a clock set a little ahead, over the hour': (device, by) => {
    const ahead = 2 + Math.floor(by * 117);
    pass(device, 20 * HOUR - (device.utc % DAY) - 1 - Math.floor(by * (ahead - 1)));
    setClock(device, device.utc + ahead);
  },
  'a table of other hours': (device, by) => {
    pass(device, by * 60);
    flash(device, NIGHT);
  },
  'a table of other hours, and its end by itself': (device, by) => {
    pass(device, by * 60);
    const { bytes } = encodeTable(NIGHT);
    expect(commit(device, upload(device, bytes), bytes)).toBe(0);
    pass(device, 130);
  },
};

function expectFollowing(
  make: Make,
  change: (device: SimulatedDevice, by: number) => void,
  by: number,
): void {
  const device = lit(make, NOON + 8 * HOUR - 300);
  const before = device.operations.slice();
  expect(mostAtOnce(device, () => change(device, by), 20)).toBe(1);
  // And each output did switch.
  for (const [output, operations] of device.operations.entries())
    expect(operations - itemAt([...before], output)).toBeGreaterThanOrEqual(1);
}

describe.each(Object.entries(CONTROLLERS))('%s: outputs follow one another', (_, make) => {
  it.each(Object.entries(CHANGES))('after %s', (_name, change) => {
    fc.assert(
      fc.property(fc.double({ min: 0, max: 0.999, noNaN: true }), (by) => expectFollowing(make, change, by)),
      { numRuns: 25 },
    );
  });
});

describe('the chip: outputs follow one another', () => {
  it.each(Object.entries(RESTARTS))('after a clock set back, then: %s', (_name, restart) => {
    for (const back of [5, 100, 3_600]) expectOneByOne(chip, restart, back, 1.3);
  });
  it.each(Object.entries(CHANGES))('after %s', (name, change) => {
    for (const by of name.includes('ahead') ? [0.1] : [0.02, 0.6]) expectFollowing(chip, change, by);
  });
});
