/**
 * Reading and writing the grower's files.
 *
 * Always holds: a file is either the old one or the whole new one, also when
 * the power goes while it is written; faults of the file system come back as
 * sentences, not as codes.
 */

import { randomUUID } from 'node:crypto';
import {
  chmodSync,
  closeSync,
  constants,
  existsSync,
  fstatSync,
  fsyncSync,
  mkdirSync,
  openSync,
  readFileSync,
  readSync,
  realpathSync,
  renameSync,
  rmSync,
  type Stats,
  statSync,
  writeSync,
} from 'node:fs';
import { basename, dirname, isAbsolute, join, relative, resolve, sep } from 'node:path';
import { Failure, usage } from '../failure.ts';

/**
 * Writes `contents` beside `path`, makes sure it is on the disk, and renames it
 * there. What a link points to is replaced, never the link. `fresh`: who may read
 * and write a file that was not there.
 */
export function writeFileSafely(name: string, contents: string | Uint8Array, fresh = 0o666): void {
  const path = existsSync(name) ? realpathSync(name) : name;
  const beside = besideOf(path);
  try {
    writeAndSync(beside, contents, modeOf(path) ?? fresh);
    renameSync(beside, path);
    syncFolder(dirname(path));
  } catch (error) {
    dropBeside(beside);
    throw fileFailure(error, path, 'written');
  }
}

/** Removes what was begun beside a file; why that failed is told of the file itself. */
function dropBeside(beside: string): void {
  try {
    rmSync(beside, { force: true });
  } catch {
    // Nothing can be there by a name that the system does not take.
  }
}

/**
 * The same for a file that is written piece by piece: `fill` writes it under
 * the name it is given. Errors of `fill` that are not the file system's come as they are.
 */
export async function replaceFile(name: string, fill: (beside: string) => Promise<void>): Promise<void> {
  const path = existsSync(name) ? realpathSync(name) : name;
  const beside = besideOf(path);
  try {
    const mode = modeOf(path);
    await fill(beside);
    if (mode !== undefined) chmodSync(beside, mode);
    syncFile(beside);
    renameSync(beside, path);
    syncFolder(dirname(path));
  } catch (error) {
    dropBeside(beside);
    throw /^E[A-Z]+$/.test(codeOf(error) ?? '') ? fileFailure(error, path, 'written') : error;
  }
}

/** A name beside `path` that nobody else takes, in this program, another, or one on another computer. */
function besideOf(path: string): string {
  return join(dirname(path), `.${basename(path)}.${randomUUID()}.tmp`);
}

function syncFile(path: string): void {
  const handle = openSync(path, 'r+');
  try {
    fsyncSync(handle);
  } finally {
    closeSync(handle);
  }
}

/** Makes a folder and those above it, where they are not there yet. */
export function makeFolder(path: string): void {
  const there = statIfThere(path);
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

/** Below a file there is nothing, as little as in a folder that is not there. */
function statIfThere(path: string): Stats | undefined {
  try {
    return statSync(path, { throwIfNoEntry: false });
  } catch (error) {
    if (codeOf(error) === 'ENOTDIR') return undefined;
    throw fileFailure(error, path, 'written');
  }
}

/** Who may read and write a file; undefined where there is none. */
function modeOf(path: string): number | undefined {
  const stat = statSync(path, { throwIfNoEntry: false });
  return stat && stat.mode & 0o777;
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

/** Nothing that a grower writes is larger; a device that never ends is. */
const BYTES_MAX = 64 * 1_048_576;

/** The bytes of a file the grower named; a pipe will do. */
export function readBytes(path: string): Uint8Array {
  let handle: number | undefined;
  try {
    handle = openSync(path, 'r');
    return readUpTo(handle, path);
  } catch (error) {
    throw fileFailure(error, path, 'read');
  } finally {
    if (handle !== undefined) closeSync(handle);
  }
}

function readUpTo(handle: number, path: string): Uint8Array {
  const parts: Buffer[] = [];
  for (let size = 0; size <= BYTES_MAX; ) {
    const part = Buffer.alloc(65_536);
    const count = readSync(handle, part);
    if (count === 0) return Buffer.concat(parts);
    parts.push(part.subarray(0, count));
    size += count;
  }
  throw usage(`${path} is larger than 64 MB, or has no end.`, 'Check the name.');
}

/**
 * The bytes of a plain file of at most `bytesMax` that lies in `folder` or below
 * it; undefined when there is none: it is not there, lies elsewhere (also by a
 * link), is a pipe or a device, or is larger.
 */
export function readPlainFile(folder: string, name: string, bytesMax: number): Uint8Array | undefined {
  let handle: number | undefined;
  try {
    const path = realpathSync(resolve(folder, name));
    const inside = relative(realpathSync(folder), path);
    if (isAbsolute(inside) || inside.split(sep)[0] === '..') return undefined;
    // Without O_NONBLOCK a pipe that nobody writes to would be waited for.
    handle = openSync(path, constants.O_RDONLY | (constants.O_NONBLOCK ?? 0));
    const stat = fstatSync(handle);
    if (!stat.isFile() || stat.size > bytesMax) return undefined;
    return readFileSync(handle);
  } catch {
    return undefined;
  } finally {
    if (handle !== undefined) closeSync(handle);
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
    case 'ENOTDIR':
      if (done === 'read') return usage(`There is no file ${path}.`, 'Check the name and the folder.');
      return usage(`There is no folder ${dirname(path)}.`, 'Make the folder first, or choose another.');
    case 'EACCES':
    case 'EPERM':
    case 'EROFS':
      return usage(`${path} may not be ${done} by you.`, 'Check who owns the file and its folder.');
    case 'EISDIR':
      return usage(`${path} is a folder, not a file.`, 'Name a file in it.');
    case 'ENAMETOOLONG':
      return usage('That name is too long for this computer.', 'Choose a shorter one.');
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
