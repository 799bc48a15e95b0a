/** A host whose clock is wrong sets no controller whose clock is right. */

import { beforeEach, describe, expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { utcFromUnixMs } from '../../../shared/civil.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { agreeOnClock, type ClockOptions } from '../../../src/jobs/host-clock.ts';
import { Controller } from '../../../src/link/controller.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { DAILY, DAY, flash, pass, START, startedDevice } from '../../firmware-sim/controller/host.ts';

const HOUR = 3600;
/** When the controller of these tests is looked at, by its own clock, which is right. */
const NOW = START + 3 * DAY + 5;

let device: SimulatedDevice;
beforeEach(() => {
  device = startedDevice();
  flash(device, DAILY);
  device.run((NOW - START) * 1e6);
});

/** Asks with a host clock that stands at `seconds`. */
async function ask(seconds: number, options: ClockOptions = {}): Promise<void> {
  const link = virtualLink(new Happenings(device));
  const pace = Object.assign(link.pace, { now: () => ({ seconds: utcSeconds(seconds), sub: 0 }) });
  const port = { path: 'test', baudRate: 38_400, binding: link.binding, pace, virtual: false };
  const controller = await Controller.open({ ...port, remarks: () => [], finish: () => undefined }, 1);
  try {
    await agreeOnClock(controller, options);
  } finally {
    await controller.close();
  }
}

describe('the clock of this computer', () => {
  it('is given as ever when it is near', async () => {
    await ask(NOW);
    await ask(NOW + 60);
    await ask(NOW - 60);
  });

  it('is refused when it is older than this program, also by a controller without a time', async () => {
    const past = utcFromUnixMs(Date.parse('2001-01-01T00:00:00Z'));
    await expect(ask(past)).rejects.toMatchObject({
      kind: 'usage',
      message: /before this Leanward was made/,
    });
    await expect(ask(past, { stepClock: true })).rejects.toThrow(/before this Leanward was made/);
    device = startedDevice();
    device.setPower(false);
    device.setTrouble('clock stopped', true);
    pass(device, 5);
    device.setPower(true);
    await expect(ask(past)).rejects.toThrow(/before this Leanward was made/);
  });

  it('is refused when it is earlier than the newest record', async () => {
    await expect(ask(NOW - 2 * DAY)).rejects.toMatchObject({ reason: 'clock wrong' });
    await ask(NOW - 2 * DAY, { stepClock: true });
  });

  it('is refused for a large step that nobody agreed to', async () => {
    await expect(ask(NOW + 5 * HOUR)).rejects.toMatchObject({
      reason: 'clock step',
      message: expect.stringMatching(/would jump by 5 h.*Nothing was changed/s),
    });
    await ask(NOW + 5 * HOUR, { stepClock: true });
  });

  it('is given to a controller whose own time is estimated', async () => {
    device.setPower(false);
    device.setTrouble('clock stopped', true);
    pass(device, 5);
    device.setTrouble('clock stopped', false);
    device.setPower(true);
    await ask(NOW + 40 * DAY);
  });
});
