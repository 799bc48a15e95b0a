/**
 * Reading and writing the grower's files.
 *
 * Always holds: a file is either the old one or the whole new one, also when
 * the power goes while it is written; faults of the file system come back as
 * sentences, not as codes.
 */

import {
  closeSync,
  existsSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  realpathSync,
  renameSync,
  rmSync,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { Failure, usage } from '../failure.ts';

/**
 * Writes `contents` beside `path`, makes sure it is on the disk, and renames it
 * there. What a link points to is replaced, never the link.
 */
export function writeFileSafely(name: string, contents: string | Uint8Array): void {
  const path = existsSync(name) ? realpathSync(name) : name;
  const beside = join(dirname(path), `.${basename(path)}.${process.pid}.tmp`);
  try {
    writeAndSync(beside, contents, modeOf(path));
    renameSync(beside, path);
    syncFolder(dirname(path));
  } catch (error) {
    rmSync(beside, { force: true });
    throw fileFailure(error, path, 'written');
  }
}

/** Makes a folder and those above it, where they are not there yet. */
export function makeFolder(path: string): void {
  const there = statSync(path, { throwIfNoEntry: false });
  if (there?.isDirectory()) return;
  if (there) throw usage(`${path} is a file, not a folder.`, 'Choose another name for the folder.');
  // One by one: mkdir's own `recursive` never ends where the system will make none (Linux's /proc).
  if (dirname(path) !== path) makeFolder(dirname(path));
  try {
    mkdirSync(path);
  } catch (error) {
    if (codeOf(error) === 'EEXIST') return;
    if (codeOf(error) !== 'ENOENT') throw fileFailure(error, path, 'written');
    throw usage(`${path} cannot be made there.`, 'Choose another folder.');
  }
}

function modeOf(path: string): number {
  return (statSync(path, { throwIfNoEntry: false })?.mode ?? 0o666) & 0o777;
}

function writeAndSync(path: string, contents: string | Uint8Array, mode: number): void {
  const bytes = typeof contents === 'string' ? Buffer.from(contents, 'utf8') : contents;
  const handle = openSync(path, 'w', mode);
  try {
    for (let at = 0; at < bytes.length; ) at += writeSync(handle, bytes, at);
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Makes the rename itself last; not every system can sync a folder. */
function syncFolder(folder: string): void {
  let handle: number | undefined;
  try {
    handle = openSync(folder, 'r');
    fsyncSync(handle);
  } catch {
    return;
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

/** The bytes of a file the grower named. */
export function readBytes(path: string): Uint8Array {
  try {
    return readFileSync(path);
  } catch (error) {
    throw fileFailure(error, path, 'read');
  }
}

/** The system's code of an error, such as `ENOENT`. */
export function codeOf(error: unknown): string | undefined {
  if (!(error instanceof Error) || !('code' in error)) return undefined;
  return typeof error.code === 'string' ? error.code : undefined;
}

export function fileFailure(error: unknown, path: string, done: 'read' | 'written'): Failure {
  if (error instanceof Failure) return error;
  switch (codeOf(error)) {
    case 'ENOENT':
      if (done === 'read') return usage(`There is no file ${path}.`, 'Check the name and the folder.');
      return usage(`There is no folder ${dirname(path)}.`, 'Make the folder first, or choose another.');
    case 'EACCES':
    case 'EPERM':
    case 'EROFS':
      return usage(`${path} may not be ${done} by you.`, 'Check who owns the file and its folder.');
    case 'EISDIR':
      return usage(`${path} is a folder, not a file.`, 'Name a file in it.');
    case 'ENOSPC':
    case 'EDQUOT':
      return usage(
        `The disk is full: ${path} was not written; the old file is untouched.`,
        'Make room first.',
      );
    default:
      return usage(`${path} could not be ${done} (${codeOf(error) ?? String(error)}).`);
  }
}
