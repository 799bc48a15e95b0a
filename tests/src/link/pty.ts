/** A pseudo-terminal whose far end is a TCP port, made by socat; for tests that need a real serial port. */

import { type ChildProcess, spawn } from 'node:child_process';
import { existsSync, mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';

export interface Pty {
  readonly path: string;
  stop(): Promise<void>;
}

/** Starts socat and waits until the pseudo-terminal is there. */
export async function makePty(tcp: number): Promise<Pty> {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-'));
  const path = join(folder, 'port');
  const socat = spawn('socat', [`PTY,link=${path},raw,echo=0`, `TCP:127.0.0.1:${tcp}`], { stdio: 'ignore' });
  for (let i = 0; i < 100 && !existsSync(path); i++) await new Promise((resolve) => setTimeout(resolve, 20));
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
