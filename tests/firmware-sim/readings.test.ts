/** Readings that cannot be true: of the clock, of what was known last, of the probe. */

import { describe, expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import type { SimulatedDeviceOptions } from '../../firmware-sim/world/bench.ts';
import { EXCEPTION, HOLDING, STATUS } from '../../shared/registers.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { ask, board, DAILY, DAY, long, pass, runTo, START, status, write } from './controller/host.ts';

const MAKERS: Readonly<Record<string, (options: SimulatedDeviceOptions) => SimulatedDevice>> = {
  simulated: makeSimulatedDevice,
  core: (options) => makeCoreDevice(WASM, options),
};
const HIGH = 65_536;
const now = (device: SimulatedDevice): number => long(status(device), STATUS.seconds);

describe.each(Object.entries(MAKERS))('%s', (_, make) => {
  const started = (more: Partial<SimulatedDeviceOptions> = {}): SimulatedDevice => {
    const device = make({
      board: board(),
      utc: utcSeconds(START),
      clockRight: true,
      probe: 23 * 16,
      ...more,
    });
    pass(device, 3);
    return device;
  };

  it('is not set into the year 2000, nor past 2099', () => {
    const device = started();
    for (const second of [0, 86_399, 366 * DAY - 1, 36_525 * DAY - 1])
      expect(write(device, HOLDING.clock, [Math.floor(second / HIGH), second % HIGH, 0])).toBe(
        EXCEPTION.value,
      );
    const first = 366 * DAY;
    expect(write(device, HOLDING.clock, [Math.floor(first / HIGH), first % HIGH, 0])).toBe(0);
  });

  it('takes a clock that shows the year 2000 for one that was never set', () => {
    const device = started({ utc: utcSeconds(5 * DAY) });
    expect(status(device)[STATUS.timeFlags]).toBe(2);
    expect(device.levels.every((level) => level === 0)).toBe(true);
  });

  it('after a dead battery and a cut goes on at the end of the last day it logged, by the wall clock', () => {
    const table = { ...DAILY, initialQuarters: -20 };
    const device = started({ table: encodeTable(table).bytes });
    // Civil midnight is 05:00 UTC; a power cut a little later, with nothing logged since.
    runTo(device, START + DAY + 5 * 3600 + 30);
    device.setPower(false);
    device.setTrouble('clock stopped', true);
    device.setPower(true);
    pass(device, 3);
    expect(now(device) - (START + DAY + 5 * 3600)).toBeLessThan(60);
    expect(now(device) - (START + DAY + 5 * 3600)).toBeGreaterThanOrEqual(0);
  });

  it('takes 85.0 °C, which a probe says before it has measured, for no reading', () => {
    const device = started();
    pass(device, 60);
    device.setProbe(85 * 16);
    pass(device, 60);
    expect(status(device)[STATUS.temperature]).toBe(0x8000);
    device.setProbe(82 * 16);
    pass(device, 60);
    device.setProbe(85 * 16);
    pass(device, 120);
    expect(status(device)[STATUS.temperature]).toBe(85 * 16);
  });

  it('answers odd frames as every controller does', () => {
    const device = started();
    // Table bytes beyond the map; an identification that asks for another type; a frame that ends at its function.
    expect(ask(device, [16, 0x21, 0, 0, 1, 2, 0, 0])).toEqual([0x90, EXCEPTION.address]);
    expect(ask(device, [43, 13, 1, 0])).toEqual([43 | 0x80, EXCEPTION.function]);
    expect(ask(device, [43, 13, 1])).toBeUndefined();
    expect(ask(device, [43, 13, 1, 0, 0])).toBeUndefined();
    expect(ask(device, [15])).toBeUndefined();
    expect(status(device)[1]).toBe(0);
  });

  it('holds back no endless queue of what the host sends', () => {
    const device = started();
    device.receive(new Uint8Array(1_000_000));
    pass(device, 3);
    expect(status(device)[1]).toBe(0);
  });
});
