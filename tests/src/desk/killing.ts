/** A desk that is killed while it writes, again and again. */

import { readdirSync, readFileSync, utimesSync } from 'node:fs';
import { join } from 'node:path';
import { expect } from 'vitest';
import type { OpenedPlan } from '../../../src/desk/wire.ts';
import { samplePlan } from '../../support/boards.ts';
import { ask, end, folderWith, type StartedDesk, save, startDesk, sweep } from './desk.ts';

const PANTRY = 'pantry.plan.yaml';
/** Long enough that a file half written would show. */
const PADDING = '# what a grower remarks\n'.repeat(4000);

/** What a client sent, and of that what it was told is done. */
interface Written {
  sent: string[];
  done: number;
}

/** Saves, and how many texts were kept when the last of them was sent. */
interface Saved extends Written {
  keptBefore: number;
}

const opened = async (desk: StartedDesk): Promise<OpenedPlan> =>
  JSON.parse((await ask(desk, { path: `/plan?name=${PANTRY}` })).body);

/** Saves and keeps texts one after another until nobody answers. */
async function writeOn(desk: StartedDesk, from: number, saved: Saved, kept: Written): Promise<void> {
  try {
    let { mark, count } = await opened(desk);
    for (let n = from; ; n++) {
      const typed = `${samplePlan('pantry')}${PADDING}# typed ${n}\n`;
      kept.sent.push(typed);
      const body = JSON.stringify({ text: typed, base: mark, count: String(count), window: 'one' });
      const keeping = await ask(desk, { method: 'PUT', path: `/unsaved?name=${PANTRY}`, body });
      count = JSON.parse(keeping.body).count;
      kept.done = kept.sent.length;
      const text = `${samplePlan('pantry')}${PADDING}# saved ${n}\n`;
      saved.sent.push(text);
      saved.keptBefore = kept.done;
      const saving = JSON.parse((await save(desk, PANTRY, text, mark)).body);
      expect(saving.saved).toBe(true);
      ({ mark, count } = saving);
      saved.done = saved.sent.length;
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
  const saved: Saved = { sent: [readFileSync(path, 'utf8')], done: 1, keptBefore: 0 };
  const kept: Written = { sent: [], done: 0 };
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
    const { text, unsaved } = await opened(last);
    expect(saved.sent.slice(saved.done - 1)).toContain(text);
    // Nothing is unsaved only where the last save came through and nothing was kept after it.
    if (unsaved) expect(kept.sent.slice(kept.done - 1)).toContain(unsaved.text);
    else expect([text, saved.keptBefore]).toEqual([saved.sent.at(-1), kept.done]);
    await end(last.child);
    // What the killed desks were writing beside is taken away once it is old.
    expect(leftovers(folder)).toEqual([]);
  } finally {
    sweep(folder);
  }
}
