/** `note --withdraw`: an entry taken back, and what of it goes out of the plan, or stays there. */

import { noteLines } from '../../../answers/book/words.ts';
import type { OpenBook } from '../../../jobs/book/open-book.ts';
import { staysWords, type TookBack, takeBackEntry } from '../../../jobs/book/take-back.ts';
import { changedLines, FLASH_REMINDER } from '../../../jobs/plan-change.ts';
import { type BookOptions, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from './tell.ts';

/** Takes back the entry whose id begins with `idStart`. */
export async function withdraw(path: string, idStart: string, options: BookOptions): Promise<void> {
  const { day: _, ...asOfToday } = options;
  await withBook(path, asOfToday, async (book) => tell(book, await takeBackEntry(book, idStart), options));
}

function tell({ path, plan }: OpenBook, took: TookBack, { json }: BookOptions): void {
  const { gone, change, stays } = took;
  if (json) {
    const changed = change ? changedLines(change) : [];
    const notes = gone.map(noteJson);
    sayJson({ note: notes[0], notes, changed, stays: stays.map(({ words }) => words) });
    return;
  }
  for (const line of noteLines(gone, plan.units)) say(`Taken back: ${line}`);
  if (change) {
    say(`What it wrote into ${path} goes too:`);
    for (const line of changedLines(change)) say(`  ${line}`);
  }
  const left = staysWords(path, took);
  if (left !== undefined) say(left);
  if (change || stays.length > 0) say(FLASH_REMINDER(path));
}
