/** `note --withdraw`: an entry taken back, and what of it goes out of the plan, or stays there. */

import { itemAt } from '../../../../shared/assert.ts';
import { noteLines } from '../../../answers/book/words.ts';
import type { OpenBook } from '../../../jobs/book/open-book.ts';
import { type TookBack, takeBackEntry } from '../../../jobs/book/take-back.ts';
import { changedLines, FLASH_REMINDER } from '../../../jobs/plan-change.ts';
import { list } from '../../../words/lists.ts';
import { type BookOptions, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from './tell.ts';

/** Takes back the entry whose id begins with `idStart`. */
export async function withdraw(path: string, idStart: string, options: BookOptions): Promise<void> {
  const { day: _, ...asOfToday } = options;
  await withBook(path, asOfToday, async (book) => tell(book, await takeBackEntry(book, idStart), options));
}

function tell({ path, plan }: OpenBook, { gone, change, stays }: TookBack, { json }: BookOptions): void {
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
  if (stays.length > 0) {
    const words = list(stays.map((part) => `\`${part.words}\``));
    say(
      `In ${path} batch ${itemAt(gone, 0).batch} still has ${words}. It was left there, since the plan would be wrong without it ` +
        'or it stands beside a remark: take it out by hand if it no longer holds.',
    );
  }
  if (change || stays.length > 0) say(FLASH_REMINDER(path));
}
