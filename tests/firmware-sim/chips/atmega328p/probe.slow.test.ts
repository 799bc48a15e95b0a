/** The probe on its wire: what the machine code reads for the data sheet's own examples. */

import { expect, it } from 'vitest';
import { STATUS } from '../../../../shared/registers.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { START, status } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const MINUTE = 60 * SECOND;

/** Data sheet of the DS18B20, "Temperature/data relationship" (from memory): degrees Celsius and register. */
const EXAMPLES: readonly [number, number][] = [
  [125, 0x07d0],
  [85, 0x0550],
  [25.0625, 0x0191],
  [10.125, 0x00a2],
  [0.5, 0x0008],
  [0, 0x0000],
  [-0.5, 0xfff8],
  [-10.125, 0xff5e],
  [-25.0625, 0xfe6f],
  [-55, 0xfc90],
];

it("the probe's temperatures are read as its data sheet lists them", () => {
  const device = chip({ utc: utcSeconds(START) });
  device.run(10.5 * SECOND);
  for (const [degrees, register] of EXAMPLES) {
    device.setProbe(degrees * 16);
    device.run(device.micros + MINUTE);
    expect(status(device)[STATUS.temperature], `${degrees} °C`).toBe(register);
  }
});
