/**
 * The plans of one folder, and what was typed into them and not saved.
 *
 * Always holds: only files of the folder itself are read or written, by their
 * bare names; a plan is written beside and renamed, and only over the bytes it
 * was read from; unsaved text is on the disk before it is said to be kept.
 */

import { createHash } from 'node:crypto';
import { existsSync, lstatSync, readdirSync, rmSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { usage } from '../../failure.ts';
import { readPlainFile, writeFileSafely } from '../../files/files.ts';
import { readLampFile } from '../../files/lamp-files.ts';
import {
  type KeptText,
  type OpenedPlan,
  PLAN_BYTES_MAX,
  type PlanName,
  type Saved,
  type Unsaved,
} from '../wire.ts';

const PLAN_NAME = /^[^./\\][^/\\]*\.ya?ml$/i;
const LISTED = /^[^./\\][^/\\]*\.plan\.ya?ml$/i;
/** A text as JSON may be longer than the text. */
const UNSAVED_BYTES_MAX = 8 * PLAN_BYTES_MAX;

/** A fault to be told to the page with a status of HTTP. */
export class PlanFault extends Error {
  readonly status: number;
  constructor(status: number, message: string) {
    super(message);
    this.status = status;
  }
}

/** The plans of `folder`. */
export class PlanFolder {
  private readonly counts = new Map<string, number>();
  readonly folder: string;

  constructor(folder: string) {
    this.folder = folder;
  }

  /** Names that end in `.plan.yaml`, and `opened` whatever its name. */
  list(opened: string | undefined): PlanName[] {
    const names = readdirSync(this.folder).filter((name) => LISTED.test(name) && this.isFile(name));
    if (opened !== undefined && !names.includes(opened)) names.push(opened);
    return names.sort().map((name) => ({ name, unsaved: existsSync(this.unsavedPath(name)) }));
  }

  /** A plan as it stands; one that is not there yet is empty. */
  open(name: string): OpenedPlan {
    const { text, mark } = this.read(name);
    return { text, mark, unsaved: this.unsaved(name), count: this.count(name) };
  }

  /** Which bytes the file has; empty when there is none. */
  markOf(name: string): string {
    const bytes = this.bytes(name);
    return bytes === undefined ? '' : markOfBytes(bytes);
  }

  /** Writes a plan over the bytes it was read from; others are left and handed back. */
  save(name: string, text: string, mark: string): Saved {
    checkSize(text);
    const there = this.read(name);
    if (there.mark !== mark) return { saved: false, ...there };
    writeFileSafely(join(this.folder, name), text);
    rmSync(this.unsavedPath(name), { force: true });
    return { saved: true, mark: markOfBytes(Buffer.from(text)), count: this.counted(name) };
  }

  /** Keeps what was typed, if it follows the text that was kept last. */
  keep(name: string, { text, base }: Unsaved, count: number): KeptText {
    checkSize(text);
    this.path(name);
    const known = this.count(name);
    if (count !== known)
      return { kept: false, text: this.unsaved(name)?.text ?? this.read(name).text, count: known };
    // Typed back to what the file says: nothing is left to be kept.
    if (text === this.read(name).text) rmSync(this.unsavedPath(name), { force: true });
    else writeFileSafely(this.unsavedPath(name), JSON.stringify({ text, base }));
    return { kept: true, count: this.counted(name) };
  }

  /** The text of a photometric file or a spectrum beside the plans, a character a byte. */
  lampFile(name: string): string | undefined {
    return readLampFile(this.folder, name);
  }

  /** The number of a plan's unsaved text. A page that outlived a server must not take its own for the new one's. */
  count(name: string): number {
    const known = this.counts.get(name) ?? Date.now();
    this.counts.set(name, known);
    return known;
  }

  private counted(name: string): number {
    const next = this.count(name) + 1;
    this.counts.set(name, next);
    return next;
  }

  private isFile(name: string): boolean {
    return statSync(join(this.folder, name), { throwIfNoEntry: false })?.isFile() === true;
  }

  /** Where a plan lies; refused outside the folder. */
  path(name: string): string {
    if (!PLAN_NAME.test(name))
      throw new PlanFault(403, 'The desk opens plans of its own folder only, by names that end in .yaml.');
    return join(this.folder, name);
  }

  private unsavedPath(name: string): string {
    return join(this.folder, `.${name}.unsaved`);
  }

  private bytes(name: string): Uint8Array | undefined {
    const path = this.path(name);
    const bytes = readPlainFile(this.folder, name, PLAN_BYTES_MAX);
    if (bytes === undefined && lstatSync(path, { throwIfNoEntry: false }) !== undefined)
      throw new PlanFault(403, `${name} is no plain file of this folder, or is larger than 1 MB.`);
    return bytes;
  }

  private read(name: string): { text: string; mark: string } {
    const bytes = this.bytes(name);
    if (bytes === undefined) return { text: '', mark: '' };
    try {
      const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
      return { text, mark: markOfBytes(bytes) };
    } catch {
      throw new PlanFault(415, `${name} is not in UTF-8. Save it as UTF-8 in a text editor first.`);
    }
  }

  private unsaved(name: string): Unsaved | undefined {
    const bytes = readPlainFile(this.folder, `.${name}.unsaved`, UNSAVED_BYTES_MAX);
    if (bytes === undefined) return undefined;
    try {
      const { text, base }: Partial<Unsaved> = JSON.parse(Buffer.from(bytes).toString('utf8'));
      return typeof text === 'string' && typeof base === 'string' ? { text, base } : undefined;
    } catch {
      return undefined;
    }
  }
}

function markOfBytes(bytes: Uint8Array): string {
  return createHash('sha256').update(bytes).digest('hex');
}

function checkSize(text: string): void {
  if (Buffer.byteLength(text) <= PLAN_BYTES_MAX) return;
  throw new PlanFault(413, 'A plan has at most 1 MB. Nothing was written.');
}

/** The folder and the bare name that a path on the command line means. */
export function placeOf(path: string | undefined): { folder: string; opened: string | undefined } {
  if (path === undefined) return { folder: process.cwd(), opened: undefined };
  const stat = statSync(path, { throwIfNoEntry: false });
  if (stat?.isDirectory()) return { folder: path, opened: undefined };
  const at = Math.max(path.lastIndexOf('/'), path.lastIndexOf('\\'));
  const folder = at < 0 ? process.cwd() : path.slice(0, at) || '/';
  const opened = path.slice(at + 1);
  if (!PLAN_NAME.test(opened))
    throw usage(`${path} is no plan's name.`, 'A plan ends in .yaml, as in rack.plan.yaml.');
  if (!statSync(folder, { throwIfNoEntry: false })?.isDirectory())
    throw usage(`There is no folder ${folder}.`);
  return { folder, opened };
}
