/** A pseudo-terminal whose far end is a TCP port, made by socat; for tests that need a real serial port. */

import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { until } from '../../support/until.ts';

export interface Pty {
  readonly path: string;
  stop(): Promise<void>;
}

/** Starts socat and waits until the pseudo-terminal is there. */
export async function makePty(tcp: number): Promise<Pty> {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-'));
  const path = join(folder, 'port');
  const socat = spawn('socat', [`PTY,link=${path},raw,echo=0`, `TCP:127.0.0.1:${tcp}`], { stdio: 'ignore' });
  await until(() => existsSync(path) || socat.exitCode !== null);
  if (socat.exitCode !== null) throw new Error(`socat ended with ${socat.exitCode}`);
  return {
    path,
    stop: async () => {
      await ended(socat);
      rmSync(folder, { recursive: true, force: true });
    },
  };
}

async function ended(child: ChildProcess): Promise<void> {
  if (child.exitCode !== null) return;
  const gone = new Promise((resolve) => child.once('exit', resolve));
  child.kill();
  await gone;
}
