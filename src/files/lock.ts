/**
 * One command at a time on a file: a lock file beside it, holding the process
 * that has it.
 *
 * Always holds: a lock whose process is gone (a crash, a power cut), also one
 * that it had not filled yet, is taken over; a lock whose process runs is respected.
 */

import {
  closeSync,
  lstatSync,
  openSync,
  readFileSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { hostname } from 'node:os';
import { Failure } from '../failure.ts';
import { codeOf, fileFailure } from './files.ts';

interface Holder {
  readonly host: string;
  readonly pid: number;
  /** When the process began, as the system counts it; tells a process from a later one of the same number. */
  readonly began: string;
}

/** Locks `path`; the returned function gives it free again. */
export function lockFile(path: string): () => void {
  const lock = `${path}.lock`;
  if (!take(lock)) {
    if (lstatSync(lock, { throwIfNoEntry: false })?.isDirectory()) throw folderThere(path, lock);
    const holder = settledHolder(lock);
    if (holder !== undefined && runs(holder)) throw inUse(path, holder, lock);
    setAside(lock);
    if (!take(lock)) throw inUse(path, readHolder(lock), lock);
  }
  return () => rmSync(lock, { force: true });
}

/** How long one command waits for another to end, ms, and how often it looks. */
const WAIT_MS = 10_000;
const LOOK_MS = 50;

/** Runs `act` while `path` is locked; another command that has it is waited for. */
export async function whileLocked<T>(path: string, act: () => Promise<T>): Promise<T> {
  const unlock = await lockWaiting(path, performance.now() + WAIT_MS);
  try {
    return await act();
  } finally {
    unlock();
  }
}

async function lockWaiting(path: string, until: number): Promise<() => void> {
  for (;;) {
    try {
      return lockFile(path);
    } catch (error) {
      const busy = error instanceof Failure && error.reason === 'port busy';
      if (!busy || performance.now() > until) throw error;
      await new Promise((resolve) => setTimeout(resolve, LOOK_MS));
    }
  }
}

function take(lock: string): boolean {
  try {
    const handle = openSync(lock, 'wx');
    try {
      writeSync(handle, JSON.stringify(self()));
    } finally {
      closeSync(handle);
    }
    return true;
  } catch (error) {
    if (codeOf(error) === 'EEXIST') return false;
    throw fileFailure(error, lock, 'written');
  }
}

function self(): Holder {
  return { host: hostname(), pid: process.pid, began: beginningOf(process.pid) };
}

function readHolder(lock: string): Holder | undefined {
  try {
    const value: unknown = JSON.parse(readFileSync(lock, 'utf8'));
    if (typeof value !== 'object' || value === null) return undefined;
    const { host, pid, began } = value as Partial<Record<keyof Holder, unknown>>;
    if (typeof host !== 'string' || typeof pid !== 'number' || typeof began !== 'string') return undefined;
    return { host, pid, began };
  } catch {
    return undefined;
  }
}

/** So long a lock may be empty because it was made this moment, ms; after that its maker died at it. */
const EMPTY_MS = 2000;

/** Who holds a lock; one that was made this moment is waited for until it is filled. Undefined: nobody. */
function settledHolder(lock: string): Holder | undefined {
  for (;;) {
    const holder = readHolder(lock);
    const made = statSync(lock, { throwIfNoEntry: false })?.mtimeMs;
    if (holder !== undefined || made === undefined || Math.abs(Date.now() - made) >= EMPTY_MS) return holder;
    Atomics.wait(new Int32Array(new SharedArrayBuffer(4)), 0, 0, LOOK_MS);
  }
}

/** A holder on another computer (a shared folder) cannot be looked up: it counts as running. */
function runs(holder: Holder): boolean {
  if (holder.host !== hostname()) return true;
  try {
    process.kill(holder.pid, 0);
  } catch (error) {
    return codeOf(error) === 'EPERM';
  }
  return holder.began === beginningOf(holder.pid);
}

/** Linux tells when a process began (field 22 of its stat, after the name in brackets); elsewhere empty. */
function beginningOf(pid: number): string {
  try {
    const stat = readFileSync(`/proc/${pid}/stat`, 'utf8');
    return stat.slice(stat.lastIndexOf(')') + 2).split(' ')[19] ?? '';
  } catch {
    return '';
  }
}

/** Takes a dead lock away by renaming, so that of two who try only one does. */
function setAside(lock: string): void {
  const aside = `${lock}.${process.pid}.tmp`;
  try {
    renameSync(lock, aside);
    rmSync(aside, { force: true });
  } catch (error) {
    if (codeOf(error) !== 'ENOENT') throw fileFailure(error, lock, 'written');
  }
}

function folderThere(path: string, lock: string): Failure {
  return new Failure('usage', `${path} cannot be locked: there is a folder ${lock} in the way.`, {
    hint: 'Move the folder, or give it another name.',
  });
}

function inUse(path: string, holder: Holder | undefined, lock: string): Failure {
  const who = holder ? ` (process ${holder.pid} on ${holder.host})` : '';
  return new Failure('link', `${path} is in use by another command${who}.`, {
    hint: `Wait until it has ended. If nothing runs, remove ${lock}.`,
    reason: 'port busy',
  });
}
