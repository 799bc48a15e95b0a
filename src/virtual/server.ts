/**
 * Serves a virtual controller on a TCP port of this computer: raw bytes of the
 * serial line, at real time or faster.
 *
 * Always holds: one connection at a time, as on a serial port; only this
 * computer can reach it; a fault of a connection ends that connection only.
 */

import { createServer, type Server, type Socket } from 'node:net';
import type { Happenings } from '../../firmware-sim/happenings.ts';
import { Failure } from '../failure.ts';
import { codeOf } from '../files/files.ts';

const TICK_MS = 2;
/** After a pause of this computer (sleep), time goes on from where it stood. */
const LONGEST_STEP_MS = 1000;
const SAVE_EVERY_MS = 30_000;

export interface ServeOptions {
  /** 0: a free one. */
  readonly tcp: number;
  readonly speed: number;
  /** Writes the controller to its file. */
  readonly save: () => void;
}

export interface Serving {
  readonly port: number;
  stop(): void;
}

/** Starts serving; time begins to run. */
export async function serveWorld(world: Happenings, { tcp, speed, save }: ServeOptions): Promise<Serving> {
  let client: Socket | undefined;
  const server = createServer((socket) => {
    if (client !== undefined) {
      socket.destroy();
      return;
    }
    client = socket;
    socket.setNoDelay(true);
    world.device.openPort();
    socket.on('data', (bytes: Buffer) => world.device.receive(Uint8Array.from(bytes)));
    socket.on('error', () => socket.destroy());
    socket.on('close', () => {
      client = undefined;
    });
  });
  const port = await listen(server, tcp);
  const stopClock = runClock(world, speed, () => {
    const sent = world.device.takeSent();
    if (sent.length > 0) client?.write(sent);
  });
  const saving = setInterval(save, SAVE_EVERY_MS);
  const stop = (): void => {
    stopClock();
    clearInterval(saving);
    client?.destroy();
    server.close();
  };
  return { port, stop };
}

function listen(server: Server, tcp: number): Promise<number> {
  return new Promise((resolve, reject) => {
    server.once('error', (error) => {
      const busy = codeOf(error) === 'EADDRINUSE';
      const words = busy
        ? `TCP port ${tcp} is in use by another program.`
        : `TCP port ${tcp} cannot be used.`;
      reject(
        new Failure('link', words, {
          hint: 'Choose another with --tcp; 0 takes a free one.',
          reason: 'port busy',
        }),
      );
    });
    server.listen(tcp, '127.0.0.1', () => {
      const address = server.address();
      resolve(typeof address === 'object' && address !== null ? address.port : tcp);
    });
  });
}

/** Lets virtual time pass with real time; returns what stops it. */
function runClock(world: Happenings, speed: number, onStep: () => void): () => void {
  let last = performance.now();
  const timer = setInterval(() => {
    const now = performance.now();
    world.advance(Math.round(Math.min(now - last, LONGEST_STEP_MS) * 1000 * speed));
    last = now;
    onStep();
  }, TICK_MS);
  return () => clearInterval(timer);
}
