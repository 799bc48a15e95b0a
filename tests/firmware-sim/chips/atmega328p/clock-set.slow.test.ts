/** Setting the battery clock begins its second afresh, also where a tick is just coming. */

import { expect, it } from 'vitest';
import { STATUS } from '../../../../shared/registers.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { long, pass, START, setClock, status } from '../../controller/host.ts';
import { chip } from './chip.ts';

/** A request of 15 bytes takes 3.9 ms on the line; 20 ms round the tick are tried millisecond by millisecond. */
const STEPS = Array.from({ length: 20 }, (_, step) => 0.982 + step / 1_000);

it('a tick that came before the setting is not counted after it', () => {
  const device = chip({ utc: utcSeconds(START) });
  pass(device, 3);
  for (const [at, phase] of STEPS.entries()) {
    // The clock's second began at the setting before.
    pass(device, 1 - ((device.micros / 1e6) % 1) + phase);
    const wanted = START + 1_000 * (at + 1);
    expect(setClock(device, wanted)).toBe(0);
    const set = device.micros;
    const registers = status(device);
    const sub = ((device.micros - set) / 1e6) * 256;
    expect(long(registers, STATUS.seconds)).toBe(wanted);
    expect(Math.abs((registers[STATUS.subSecond] ?? 0) - sub)).toBeLessThan(15);
    // The next setting is tried round the whole second of the emulated world.
    pass(device, 2 - ((device.micros / 1e6) % 1));
    expect(setClock(device, wanted + 2)).toBe(0);
  }
});
