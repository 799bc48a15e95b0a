/**
 * The same as `lines` over a pseudo-terminal, with the serial library that the
 * grower's commands use: a real port, in real time.
 */

import { Happenings } from '../../firmware-sim/happenings.ts';
import { Controller } from '../../src/link/controller.ts';
import { realPort } from '../../src/link/real-port.ts';
import { serveWorld } from '../../src/virtual/server.ts';
import { makePty } from '../src/link/pty.ts';
import type { Campaign } from './campaign.ts';
import { closing, deviceBefore, faultyRun, makeBefore } from './lines.ts';

/** So many times faster the controller lives, that a trial is over within a second. */
const SPEED = 4;

export const ptyLines: Campaign = {
  name: 'pty-lines',
  about: 'the same over a pseudo-terminal with the real serial library, in real time',
  unit: 'runs',
  share: 2,
  slice: 1,
  needs: ['socat'],
  prepare: async () => {
    makeBefore();
    return async () => undefined;
  },
  async run(chance) {
    const device = deviceBefore();
    const server = await serveWorld(new Happenings(device), { tcp: 0, speed: SPEED, save: () => undefined });
    const pty = await makePty(server.port);
    try {
      const port = await realPort(pty.path);
      await faultyRun(device, chance, async (_, act) => closing(await Controller.open(port, 1), act));
    } finally {
      await pty.stop();
      server.stop();
    }
    return 1;
  },
};
