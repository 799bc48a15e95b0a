/** A stage was seen to begin: an entry of the book, and of a whole batch the plan with its later stages shifted. */

import { begunIn, writeBegan } from '../../../compiler/write/change-batch.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { bagBegan, batchBegan, begunNamed, SIGNS, stageBegun } from '../../answers/book/began-entries.ts';
import type { Note } from '../../answers/book/note.ts';
import { usage } from '../../failure.ts';
import { type PlanChange, tryChange, writeChange } from '../plan-change.ts';
import { bagsFor, type OpenBook, writingOf } from './open-book.ts';

export interface Began {
  readonly entries: readonly Note[];
  /** How the plan was changed, where it was. */
  readonly change: PlanChange | undefined;
}

/** What is said where the stage was to begin on that day anyway. */
export const beganAsPlanned = (path: string): string =>
  `${path} has that day for it already: nothing changes there.`;

/** `who` are batches (one at a time) and bags; `stage` is the one that begins with the sign, where the regime has other names. */
export async function beginStage(
  book: OpenBook,
  what: string,
  who: readonly string[],
  stage: string | undefined,
): Promise<Began> {
  const batches = who.map((word) => book.plan.batches.findIndex(({ name }) => name === word));
  const entries: Note[] = [];
  const changes: PlanChange[] = [];
  for (const [i, batch] of batches.entries()) {
    if (batch < 0) entries.push(...bagEntries(book, what, itemAt(who, i)));
    else {
      const writing = writingOf(book);
      const entry = batchBegan(writing, book.notes, batch, begunNamed(writing, batch, what));
      const { change, before } = shift(book, batch, what, stage);
      entries.push({ ...entry, before });
      changes.push(change);
    }
  }
  if (changes.length > 1) throw usage('One batch at a time.', 'Write them one after the other.');
  await book.write(entries);
  const [change] = changes;
  if (change) writeChange(change);
  return { entries, change };
}

function bagEntries(book: OpenBook, what: string, word: string): Note[] {
  const writing = writingOf(book);
  return bagsFor(book, [word]).map((life) => bagBegan(writing, life, begunNamed(writing, life.batch, what)));
}

/** The plan with the stage begun, and the later ones shifted; and the day that it had for it before. */
function shift(
  book: OpenBook,
  batch: number,
  word: string,
  named: string | undefined,
): { readonly change: PlanChange; readonly before: CivilDay | undefined } {
  const { plan, path, day } = book;
  const writing = writingOf(book);
  const what = named === undefined ? begunNamed(writing, batch, word) : begunNamed(writing, batch, named);
  const stage = stageBegun(writing, batch, what);
  const { name } = itemAt(plan.batches, batch);
  if (stage === undefined) {
    throw usage(`${name} has no stage ${SIGNS[what] ?? what}.`, 'Say which stage begins with --stage NAME.');
  }
  const change = tryChange(path, (text) => writeBegan(text, name, stage, day), {
    what: 'The stage was not begun',
    day,
  });
  return { change, before: begunIn(change.before, name, stage) };
}
