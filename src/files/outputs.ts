/**
 * Which files a command may write: those that are not there, and those that
 * Leanward wrote itself.
 *
 * Always holds: this is asked before a command writes anything; nothing is ever
 * written over what a command reads, nor over any plan, archive or virtual
 * controller; what else Leanward did not write is replaced only when told to.
 */

import { closeSync, existsSync, openSync, readSync, realpathSync, statSync } from 'node:fs';
import { resolve } from 'node:path';
import { TABLE_VERSION } from '../../shared/table.ts';
import { usage } from '../failure.ts';

/** The option with which a file of somebody else's is replaced, and its help. */
export const FORCE_OPTION = [
  '--force',
  'replace a file that Leanward did not write (never a plan or an archive)',
] as const;

/** So much of a file's beginning and end tells what it is. */
const LOOKED_AT_BYTES = 4096;

/** What a command is about to write and what it reads; undefined for what was not asked for. */
export interface Outputs {
  readonly write: readonly (string | undefined)[];
  readonly read: readonly (string | undefined)[];
  readonly force: boolean | undefined;
}

/** Throws a usage failure when any of the files may not be written. */
export function checkOutputs({ write, read, force }: Outputs): void {
  const inputs = new Set(read.filter((path) => path !== undefined).map(realName));
  const seen = new Set<string>();
  for (const path of write) {
    if (path === undefined) continue;
    const name = realName(path);
    if (inputs.has(name))
      throw usage(`${path} is read by this command, so it is not written over.`, 'Choose another name.');
    if (seen.has(name))
      throw usage(`Two different files would be written to ${path}.`, 'Choose two different names.');
    seen.add(name);
    checkReplaced(path, force === true);
  }
}

function realName(path: string): string {
  return existsSync(path) ? realpathSync(path) : resolve(path);
}

function checkReplaced(path: string, force: boolean): void {
  // Pipes and terminals hold nothing that could be lost.
  if (!existsSync(path) || !statSync(path).isFile()) return;
  const ends = readEnds(path);
  const precious = preciousKind(ends);
  if (precious !== undefined)
    throw usage(`${path} is ${precious}, so it is not written over.`, 'Choose another name.');
  if (force || ends === '' || isOurs(ends)) return;
  throw usage(
    `${path} is there already, and Leanward did not write it.`,
    'Choose another name, or add --force to replace it.',
  );
}

/** The file's beginning and end, a character a byte. A file that may not be read counts as somebody else's. */
function readEnds(path: string): string {
  const size = statSync(path).size;
  const buffer = Buffer.alloc(LOOKED_AT_BYTES);
  const part = (handle: number, from: number): string =>
    buffer.toString('latin1', 0, readSync(handle, buffer, 0, LOOKED_AT_BYTES, from));
  let handle: number;
  try {
    handle = openSync(path, 'r');
  } catch {
    return 'not to be read';
  }
  try {
    const beginning = part(handle, 0);
    return size > LOOKED_AT_BYTES ? beginning + part(handle, size - LOOKED_AT_BYTES) : beginning;
  } finally {
    closeSync(handle);
  }
}

function preciousKind(text: string): string | undefined {
  if (text.startsWith('SQLite format 3')) return 'an archive or another database';
  if (/^leanward: *\d/m.test(text)) return 'a shelf light plan';
  if (/^\{"format":"leanward virtual controller"/.test(text)) return 'a virtual controller';
  return undefined;
}

/** How a schedule table begins (`table-format.md`). */
const TABLE_MARK = String.fromCharCode(0x4c, 0x57, TABLE_VERSION);

/** How each other kind of file that Leanward writes is known again. */
const OURS: readonly RegExp[] = [
  /^<!doctype html>.*<meta name="generator" content="Leanward">/s,
  /^BEGIN:VCALENDAR\r?\n.*PRODID:-\/\/Leanward\/\//s,
  // A trace, a listing.
  /^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ \S+ out (?:[0-9a-f]{2}\.){7}[0-9a-f]{2}\n/,
  /^.*: schedule table, offsets and bytes in hexadecimal\n/,
  // Exports: CSV, JSON lines, Parquet.
  /^controller,sequence,record,partial,estimated,/,
  /^\{"controller":\d+,"sequence":\d+,"record":"/,
  /^PAR1.*Leanward/s,
];

const isOurs = (text: string): boolean =>
  text.startsWith(TABLE_MARK) || OURS.some((pattern) => pattern.test(text));
