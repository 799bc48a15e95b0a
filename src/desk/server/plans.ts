/**
 * The plans of one folder, and what was typed into them and not saved.
 *
 * Always holds: only files of the folder itself are read or written, by their
 * bare names; a plan is written beside and renamed, and only over the bytes
 * that its text began from or that the grower chose to replace; unsaved text is
 * on the disk before it is said to be kept, and before the plan is written. A
 * text is taken only if it follows the last one (wire.ts), so that of two
 * windows neither undoes what the other typed.
 */

import { createHash } from 'node:crypto';
import { lstatSync, readdirSync, statSync } from 'node:fs';
import { join } from 'node:path';
import { usage } from '../../failure.ts';
import { readPlainFile, writeFileSafely } from '../../files/files.ts';
import {
  type DeskNews,
  type HandedText,
  type KeptText,
  type OpenedPlan,
  type Overtaken,
  PLAN_BYTES_MAX,
  type PlanName,
  type Saved,
  type TextCount,
  type Unsaved,
} from '../wire.ts';
import { dropUnsaved, isUnsaved, readUnsaved, writeUnsaved } from './unsaved.ts';

const PLAN_NAME = /^[^./\\][^/\\]*\.ya?ml$/i;
/** What is kept beside a plan, and what is written before that is renamed, has its name with some fifty bytes more. */
const NAME_BYTES_MAX = 200;
const LISTED = /^[^./\\][^/\\]*\.plan\.ya?ml$/i;

/** A fault to be told to the page with a status of HTTP. */
export class PlanFault extends Error {
  readonly status: number;
  constructor(status: number, message: string) {
    super(message);
    this.status = status;
  }
}

/** A plan's file. */
interface File {
  readonly text: string;
  readonly mark: string;
}

/** A plan's text and its way so far. */
interface Line {
  /** Number of the text. A page that outlived a server must not take its own for the new one's. */
  count: number;
  /** Mark of the file that the text began from. */
  base: string;
  /** Undefined where the text is the file's. */
  unsaved: string | undefined;
  /** The last text that became the plan's, of each window, the latest window last. */
  windows: ReadonlyMap<string, number>;
  /** The file's mark as the windows were told of it last. */
  told: string;
}

/** The plans of `folder`; what changes is told to `tell`. */
export class PlanFolder {
  private readonly lines = new Map<string, Line>();
  readonly folder: string;
  private readonly tell: (news: DeskNews) => void;

  constructor(folder: string, tell: (news: DeskNews) => void) {
    this.folder = folder;
    this.tell = tell;
  }

  /** Names that end in `.plan.yaml`, and `opened` whatever its name. */
  list(opened: string | undefined): PlanName[] {
    const names = readdirSync(this.folder).filter((name) => LISTED.test(name) && this.isFile(name));
    if (opened !== undefined && !names.includes(opened)) names.push(opened);
    return names.sort().map((name) => ({ name, unsaved: isUnsaved(this.folder, name) }));
  }

  /** A plan as it stands; one that is not there yet is empty. */
  open(name: string, window: string): OpenedPlan {
    const { file, line } = this.look(name);
    return { ...file, ...standing(line, window), unsaved: unsavedOf(line) };
  }

  /** Keeps what was typed, if it follows the last text. */
  keep(name: string, handed: HandedText): KeptText {
    checkSize(handed.text);
    const { file, line } = this.look(name);
    if (handed.count !== line.count) return overtaken(line, file, handed.window);
    this.take(name, line, file, handed);
    return { follows: true, ...standing(line, handed.window) };
  }

  /** Writes a plan, if its text follows the last one, over what that began from or over the bytes that `over` marks. */
  save(name: string, handed: HandedText, over: string): Saved {
    checkSize(handed.text);
    const { file, line } = this.look(name);
    const { text, window } = handed;
    if (handed.count !== line.count) return overtaken(line, file, window);
    this.take(name, line, file, handed);
    const followed = { follows: true, ...standing(line, window) } as const;
    if (line.unsaved === undefined) return { ...followed, saved: true, mark: file.mark };
    if (file.mark !== line.base && file.mark !== over) return { ...followed, saved: false, file };
    writeFileSafely(this.path(name), text);
    const mark = markOfBytes(Buffer.from(text));
    this.settle(name, line, mark);
    line.told = mark;
    this.tell({ kind: 'file', name, mark });
    return { ...followed, saved: true, mark };
  }

  /** Tells which of the plans that were opened have other bytes than was told last. */
  lookAround(): void {
    for (const [name, line] of this.lines) {
      const mark = this.markSeen(name);
      if (mark === line.told) continue;
      line.told = mark;
      this.tell({ kind: 'file', name, mark });
    }
  }

  private markSeen(name: string): string {
    try {
      return this.markOf(name);
    } catch {
      return '';
    }
  }

  /** The plan's file as it is now, and the text with it. */
  private look(name: string): { file: File; line: Line } {
    const file = this.read(name);
    const line = this.lines.get(name) ?? this.begin(name, file);
    if (line.unsaved === file.text) this.settle(name, line, file.mark);
    else if (line.unsaved === undefined && line.base !== file.mark) {
      line.base = file.mark;
      line.count += 1;
    }
    return { file, line };
  }

  private begin(name: string, { mark }: File): Line {
    const kept = readUnsaved(this.folder, name);
    const line: Line = {
      count: Date.now(),
      base: kept?.base ?? mark,
      unsaved: kept?.text,
      windows: kept?.windows ?? new Map(),
      told: mark,
    };
    this.lines.set(name, line);
    return line;
  }

  /** A text that follows the last one becomes the plan's. */
  private take(name: string, line: Line, file: File, { text, window, number }: HandedText): void {
    const others = [...line.windows].filter(([other]) => other !== window);
    const windows = new Map([...others, [window, number]]);
    if (text !== file.text) writeUnsaved(this.folder, name, { text, base: line.base, windows });
    line.windows = windows;
    if (text !== (line.unsaved ?? file.text)) {
      line.count += 1;
      this.tell({ kind: 'unsaved', name, text, count: line.count, window });
    }
    line.unsaved = text;
    // Typed back to what the file says: nothing is left to be kept.
    if (text === file.text) this.settle(name, line, file.mark);
  }

  /** The text is the file's. */
  private settle(name: string, line: Line, mark: string): void {
    dropUnsaved(this.folder, name);
    line.unsaved = undefined;
    line.base = mark;
  }

  private isFile(name: string): boolean {
    return statSync(join(this.folder, name), { throwIfNoEntry: false })?.isFile() === true;
  }

  /** Where a plan lies; refused outside the folder. */
  path(name: string): string {
    if (!PLAN_NAME.test(name))
      throw new PlanFault(403, 'The desk opens plans of its own folder only, by names that end in .yaml.');
    if (Buffer.byteLength(name) > NAME_BYTES_MAX)
      throw new PlanFault(403, 'That name is too long for a file. Choose a shorter one.');
    return join(this.folder, name);
  }

  private bytes(name: string): Uint8Array | undefined {
    const path = this.path(name);
    const bytes = readPlainFile(this.folder, name, PLAN_BYTES_MAX);
    if (bytes === undefined && lstatSync(path, { throwIfNoEntry: false }) !== undefined)
      throw new PlanFault(403, `${name} is no plain file of this folder, or is larger than 1 MB.`);
    return bytes;
  }

  /** Which bytes the file has; empty when there is none. */
  markOf(name: string): string {
    const bytes = this.bytes(name);
    return bytes === undefined ? '' : markOfBytes(bytes);
  }

  private read(name: string): File {
    const bytes = this.bytes(name);
    if (bytes === undefined) return { text: '', mark: '' };
    try {
      const text = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true }).decode(bytes);
      return { text, mark: markOfBytes(bytes) };
    } catch {
      throw new PlanFault(415, `${name} is not in UTF-8. Save it as UTF-8 in a text editor first.`);
    }
  }
}

const unsavedOf = ({ unsaved, base }: Line): Unsaved | undefined =>
  unsaved === undefined ? undefined : { text: unsaved, base };

const standing = ({ count, windows }: Line, window: string): TextCount => ({
  count,
  yours: windows.get(window) ?? 0,
});

const overtaken = (line: Line, { text }: File, window: string): Overtaken => ({
  follows: false,
  text: line.unsaved ?? text,
  ...standing(line, window),
});

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
