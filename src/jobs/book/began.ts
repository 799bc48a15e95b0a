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
  /** The plan had the stage begin on that day anyway. */
  readonly isAsPlanned: boolean;
}

/** What is said of the plan: that later stages shift, or that they do not. */
export function beganWords(
  path: string,
  { change, isAsPlanned }: Pick<Began, 'change' | 'isAsPlanned'>,
): string {
  if (!isAsPlanned) return `The stages that follow shift; in ${path}:`;
  const isSame = !change || change.before === change.after;
  return isSame
    ? `${path} has that day for it already: nothing changes there.`
    : `That is the day that the plan has for it, so nothing shifts; it is written down in ${path}:`;
}

/** `who` are batches (one at a time) and bags; `stage` is the one that begins with the sign, where the regime has other names. */
export async function beginStage(
  book: OpenBook,
  what: string,
  who: readonly string[],
  stage: string | undefined,
): Promise<Began> {
  const batches = who.map((word) => book.plan.batches.findIndex(({ name }) => name === word));
  const entries: Note[] = [];
  const shifts: ReturnType<typeof shift>[] = [];
  for (const [i, batch] of batches.entries()) {
    if (batch < 0) entries.push(...bagEntries(book, what, itemAt(who, i)));
    else {
      const writing = writingOf(book);
      const entry = batchBegan(writing, book.notes, batch, begunNamed(writing, batch, what));
      const shifted = shift(book, batch, what, stage);
      entries.push({ ...entry, before: shifted.before });
      shifts.push(shifted);
    }
  }
  if (shifts.length > 1) throw usage('One batch at a time.', 'Write them one after the other.');
  await book.write(entries);
  const [{ change, isAsPlanned } = { change: undefined, isAsPlanned: false }] = shifts;
  if (change) writeChange(change);
  return { entries, change, isAsPlanned };
}

function bagEntries(book: OpenBook, what: string, word: string): Note[] {
  const writing = writingOf(book);
  return bagsFor(book, [word]).map((life) => bagBegan(writing, life, begunNamed(writing, life.batch, what)));
}

/** The plan with the stage begun, and the later ones shifted; and the day that was written in it before. */
function shift(
  book: OpenBook,
  batch: number,
  word: string,
  named: string | undefined,
): { readonly change: PlanChange; readonly before: CivilDay | undefined; readonly isAsPlanned: boolean } {
  const { plan, path, day } = book;
  const writing = writingOf(book);
  const what = named === undefined ? begunNamed(writing, batch, word) : begunNamed(writing, batch, named);
  const stage = stageBegun(writing, batch, what);
  const { name, zones } = itemAt(plan.batches, batch);
  if (stage === undefined) {
    throw usage(`${name} has no stage ${SIGNS[what] ?? what}.`, 'Say which stage begins with --stage NAME.');
  }
  const change = tryChange(path, (text) => writeBegan(text, name, stage, day), {
    what: 'The stage was not begun',
    day,
  });
  const planned = zones.flatMap(({ stages }) => stages.filter((one) => one.name === stage));
  const isAsPlanned = planned.length > 0 && planned.every(({ from }) => from === day);
  return { change, before: begunIn(change.before, name, stage), isAsPlanned };
}
