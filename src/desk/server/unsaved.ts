/**
 * What was typed into a plan and not saved, in a file beside it.
 *
 * Always holds: the file is whole, or there is none; one that cannot be read counts as none.
 */

import { existsSync, rmSync } from 'node:fs';
import { join } from 'node:path';
import { z } from 'zod';
import { readPlainFile, writeFileSafely } from '../../files/files.ts';
import { PLAN_BYTES_MAX } from '../wire.ts';

const KEPT = z.object({
  text: z.string(),
  base: z.string(),
  /** Of each window the number of its last text. */
  windows: z.array(z.tuple([z.string(), z.number()])).default([]),
});

export interface KeptFile {
  readonly text: string;
  /** Mark of the file that it began from. */
  readonly base: string;
  /** Of each window the number of its last text. */
  readonly windows: ReadonlyMap<string, number>;
}

/** A text as JSON may be longer than the text. */
const BYTES_MAX = 8 * PLAN_BYTES_MAX;
/** So many windows' numbers are kept: those of windows long closed are of no use. */
const WINDOWS_MAX = 16;

const nameOf = (plan: string): string => `.${plan}.unsaved`;

export const isUnsaved = (folder: string, plan: string): boolean => existsSync(join(folder, nameOf(plan)));

export function readUnsaved(folder: string, plan: string): KeptFile | undefined {
  const bytes = readPlainFile(folder, nameOf(plan), BYTES_MAX);
  if (bytes === undefined) return undefined;
  try {
    const { text, base, windows } = KEPT.parse(JSON.parse(Buffer.from(bytes).toString('utf8')));
    return { text, base, windows: new Map(windows) };
  } catch {
    return undefined;
  }
}

export function writeUnsaved(folder: string, plan: string, { text, base, windows }: KeptFile): void {
  const kept = { text, base, windows: [...windows].slice(-WINDOWS_MAX) };
  writeFileSafely(join(folder, nameOf(plan)), JSON.stringify(kept));
}

export const dropUnsaved = (folder: string, plan: string): void =>
  rmSync(join(folder, nameOf(plan)), { force: true });
