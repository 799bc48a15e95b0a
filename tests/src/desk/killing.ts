/** A desk that is killed while it writes, again and again. */

import { createHash } from 'node:crypto';
import { readdirSync, readFileSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { KeptText, Saved } from '../../../src/desk/wire.ts';
import { samplePlan } from '../../support/boards.ts';
import { end, folderWith, keep, opened, type StartedDesk, save, startDesk, sweep } from './desk.ts';

const PANTRY = 'pantry.plan.yaml';
/** Long enough that a file half written would show. */
const PADDING = '# what a grower remarks\n'.repeat(4000);

/** What a client sent, and of that what it was told is done. */
interface Written {
  sent: string[];
  done: number;
}

/** Saves and keeps texts one after another until nobody answers. */
async function writeOn(desk: StartedDesk, from: number, saved: Written, kept: Written): Promise<void> {
  try {
    let { count } = await opened(desk, PANTRY);
    for (let n = from; ; n++) {
      const typed = `${samplePlan('pantry')}${PADDING}# typed ${n}\n`;
      kept.sent.push(typed);
      const keeping: KeptText = JSON.parse((await keep(desk, PANTRY, typed, count)).body);
      expect(keeping.follows).toBe(true);
      kept.done = kept.sent.length;
      const text = `${samplePlan('pantry')}${PADDING}# saved ${n}\n`;
      saved.sent.push(text);
      kept.sent.push(text);
      const saving: Saved = JSON.parse((await save(desk, PANTRY, text, keeping.count, '')).body);
      expect(saving).toMatchObject({ follows: true, saved: true });
      count = saving.count;
      saved.done = saved.sent.length;
      kept.done = kept.sent.length;
    }
  } catch (error) {
    if (
      error instanceof Error &&
      /ECONNRE|EPIPE|socket|aborted/.test(`${error.message} ${'code' in error ? error.code : ''}`)
    )
      return;
    throw error;
  }
}

const leftovers = (folder: string): string[] => readdirSync(folder).filter((name) => name.endsWith('.tmp'));

/** Kills a desk after each of these waits (ms) while it writes; the file is always whole, and old or new. */
export async function killAt(waits: readonly number[]): Promise<void> {
  const folder = folderWith('pantry');
  const path = join(folder, PANTRY);
  const before = readFileSync(path, 'utf8');
  const saved: Written = { sent: [before], done: 1 };
  /** What is saved is kept first. */
  const kept: Written = { sent: [before], done: 1 };
  try {
    for (const [n, wait] of waits.entries()) {
      const desk = await startDesk(folder);
      const writing = writeOn(desk, n * 1000, saved, kept);
      await new Promise((resolve) => setTimeout(resolve, wait));
      await end(desk.child, 'SIGKILL');
      await writing;
      // What was told to be saved is there, or what was under way.
      expect(saved.sent.slice(saved.done - 1)).toContain(readFileSync(path, 'utf8'));
    }
    for (const name of leftovers(folder)) utimesSync(join(folder, name), new Date(0), new Date(0));
    const last = await startDesk(folder);
    const { text, unsaved } = await opened(last, PANTRY);
    expect(saved.sent.slice(saved.done - 1)).toContain(text);
    expect(kept.sent.slice(kept.done - 1)).toContain(unsaved?.text ?? text);
    // What is unsaved began from the file as it is.
    if (unsaved) expect(unsaved.base).toBe(createHash('sha256').update(text).digest('hex'));
    await end(last.child);
    // What the killed desks were writing beside is taken away once it is old.
    expect(leftovers(folder)).toEqual([]);
  } finally {
    sweep(folder);
  }
}
