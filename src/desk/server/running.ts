/**
 * Which desk runs on a folder: a small file in it, readable by its owner only.
 *
 * Always holds: one desk a folder; a second one is told of the first. The
 * address of a desk that was killed is taken over, so that a page that is
 * still open finds its server again.
 */

import { randomBytes } from 'node:crypto';
import { readdirSync, rmSync, statSync } from 'node:fs';
import { request } from 'node:http';
import { join } from 'node:path';
import { readPlainFile, writeFileSafely } from '../../files/files.ts';
import { cookieName } from './guard.ts';

/** A desk as its file tells of it. */
export interface Running {
  readonly pid: number;
  readonly port: number;
  readonly token: string;
  /** The archive it was given, without a password; empty: those beside the plans. */
  readonly archive: string;
}

const NAME = '.leanward-desk';
const FILE_BYTES_MAX = 4096;
const OWNER_ONLY = 0o600;
/** A desk on this computer answers at once. */
const ANSWER_MS = 2000;
const TOKEN_BYTES = 24;

export const runningPath = (folder: string): string => join(folder, NAME);

/** What the folder's file tells; undefined when there is none that can be read. */
export function readRunning(folder: string): Running | undefined {
  const bytes = readPlainFile(folder, NAME, FILE_BYTES_MAX);
  if (bytes === undefined) return undefined;
  try {
    const {
      pid,
      port,
      token,
      archive = '',
    }: Partial<Running> = JSON.parse(Buffer.from(bytes).toString('utf8'));
    const whole = Number.isInteger(pid) && Number.isInteger(port) && /^[\w-]{32}$/.test(token ?? '');
    return whole && pid && port && token ? { pid, port, token, archive } : undefined;
  } catch {
    return undefined;
  }
}

/** Says that this process has the folder's desk. */
export function writeRunning(folder: string, running: Running): void {
  writeFileSafely(runningPath(folder), `${JSON.stringify(running)}\n`, OWNER_ONLY);
}

/** Takes the file away if it still tells of this process. */
export function endRunning(folder: string): void {
  if (readRunning(folder)?.pid === process.pid) rmSync(runningPath(folder), { force: true });
}

/** A key that nobody guesses. */
export const freshToken = (): string => randomBytes(TOKEN_BYTES).toString('base64url');

/** Whether the desk that the file tells of answers. */
export function answers({ port, token }: Running): Promise<boolean> {
  const host = `127.0.0.1:${port}`;
  return new Promise((resolve) => {
    const asked = request(
      {
        host: '127.0.0.1',
        port,
        path: '/desk',
        headers: { host, cookie: `${cookieName({ host, token })}=${token}` },
      },
      (answer) => {
        answer.resume();
        resolve(answer.statusCode === 200);
      },
    );
    asked.setTimeout(ANSWER_MS, () => asked.destroy());
    asked.once('error', () => resolve(false));
    asked.end();
  });
}

/** What is written beside a file is there for a moment; what is older was left by a program that was killed. */
const LEFT_MS = 60_000;
const BESIDE = /^\..+\.[0-9a-f-]{36}\.tmp$/;

/** Takes away what a killed desk was writing beside a file. */
export function sweepLeftovers(folder: string): void {
  for (const name of readdirSync(folder)) {
    if (!BESIDE.test(name)) continue;
    const path = join(folder, name);
    const stat = statSync(path, { throwIfNoEntry: false });
    if (stat?.isFile() && Date.now() - stat.mtimeMs > LEFT_MS) rmSync(path, { force: true });
  }
}
