import { expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { Controller } from '../../../src/link/controller.ts';
import { realPort } from '../../../src/link/real-port.ts';
import { serveWorld } from '../../../src/virtual/server.ts';
import { needs } from '../../support/needs.ts';
import { makePty } from './pty.ts';
import { Responder } from './responder.ts';

needs(['socat'], 'the real serial library over a pseudo-terminal', () => {
  it('opens, asks, reads and survives the far end going away', async () => {
    const device = new Responder();
    device.setStatus(77);
    const server = await serveWorld(new Happenings(device), { tcp: 0, speed: 1, save: () => undefined });
    const pty = await makePty(server.port);
    const controller = await Controller.open(await realPort(pty.path), 1);
    expect(controller.board.id).toBe('mega328-relay8');
    expect((await controller.status()).session).toBe(77);
    // 4 registers written reach the far end as they were sent.
    await controller.setIdentity(0x12345678);
    expect(device.written.at(-1)).toEqual({ address: 0x172, values: [0x1234, 0x5678] });
    await pty.stop();
    await expect(controller.status()).rejects.toMatchObject({ kind: 'link' });
    await controller.close().catch(() => undefined);
    server.stop();
  });

  it('says which ports cannot be opened, and why', async () => {
    await expect(Controller.open(await realPort('/dev/ttyLEANWARD'), 1)).rejects.toMatchObject({
      reason: 'no port',
      message: 'There is no port /dev/ttyLEANWARD.',
    });
  });
});
