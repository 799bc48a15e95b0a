/**
 * The offer to end zones that have no bag left, at the terminal.
 *
 * Always holds: it is written only when asked for, by `--end` or by answering
 * yes; what changes in the file is shown.
 */

import type { Note } from '../../../answers/book/note.ts';
import { endingOffer } from '../../../jobs/book/ending.ts';
import type { OpenBook } from '../../../jobs/book/open-book.ts';
import { changedLines, FLASH_REMINDER, type PlanChange, writeChange } from '../../../jobs/plan-change.ts';
import { askYes, canAsk, say } from '../../terminal.ts';

export const END_OPTION = [
  '--end',
  'write `ended` into the plan for zones that have no bag left (else you are asked)',
] as const;

/** What an offer came to. */
export interface Ended {
  readonly zones: readonly string[];
  /** False: it was only offered. */
  readonly isWritten: boolean;
}

/** Offers to end what has no bag left once `entries` are in the book; undefined: nothing has. */
export async function offerEnding(
  book: OpenBook,
  entries: readonly Note[],
  options: { readonly end?: boolean; readonly json?: boolean },
): Promise<Ended | undefined> {
  const offer = endingOffer(book, entries);
  if (!offer) return undefined;
  const { zones, words, change } = offer;
  if (options.json !== true) {
    say(words);
    for (const line of changedLines(change)) say(`  ${line}`);
  }
  const isWritten =
    options.end === true || (options.json !== true && canAsk() && (await askYes('Write that?')));
  if (isWritten) write(change, options.json === true);
  else if (options.json !== true) say(`Not written. To write it: leanward cull ${book.path} --end.`);
  return { zones, isWritten };
}

function write(change: PlanChange, isQuiet: boolean): void {
  writeChange(change);
  if (isQuiet) return;
  say(`Written into ${change.path}.`);
  say(FLASH_REMINDER(change.path));
}
