/**
 * Taking an entry of the grow book back, and what it wrote into the plan with it.
 *
 * Always holds: the entry is taken back whatever the plan allows; what of it
 * stays in the plan is given back.
 */

import { randomUUID } from 'node:crypto';
import { itemAt } from '../../../shared/assert.ts';
import type { Note, TakenBack } from '../../answers/book/note.ts';
import { goneWith, type PlanPart, planPartsOf, refuseSharedPlace } from '../../answers/book/take-back.ts';
import { noteNamed, readTakenBack, withdrawNote } from '../../archive/notes.ts';
import { lookInArchive, withArchive } from '../../archive/open.ts';
import { list } from '../../words/lists.ts';
import { type PlanChange, soundChange, textOfPlan, writeChange } from '../plan-change.ts';
import type { OpenBook } from './open-book.ts';

/** What was taken back. */
export interface TookBack {
  /** The entry named, and the one that goes with it. */
  readonly gone: readonly Note[];
  /** What went out of the plan. */
  readonly change: PlanChange | undefined;
  /** What it wrote and could not be taken out of the plan. */
  readonly stays: readonly PlanPart[];
}

/** Takes back the entry whose id begins with `idStart`, and writes the plan without what it brought. */
export async function takeBackEntry(book: OpenBook, idStart: string): Promise<TookBack> {
  const gone = goneWith(book.notes, noteNamed(book.notes, idStart));
  refuseSharedPlace(book.plan, book.notes, gone);
  const earlier = await lookInArchive(book.place, book.nowMs, (archive) => readTakenBack(archive, book.name));
  const { change, stays } = fromPlan(book, gone, earlier);
  await withArchive(book.place, book.nowMs, async (archive) => {
    for (const { id } of gone) await withdrawNote(archive, book.name, id, randomUUID(), book.nowMs);
  });
  if (change) writeChange(change);
  return { gone, change, stays };
}

/** What stays in the plan, in words; undefined: nothing does. */
export function staysWords(path: string, { gone, stays }: TookBack): string | undefined {
  if (stays.length === 0) return undefined;
  const words = list(stays.map((part) => `\`${part.words}\``));
  return (
    `In ${path} batch ${itemAt(gone, 0).batch} still has ${words}. It was left there, since the plan would be wrong without it ` +
    'or it stands beside a remark: take it out by hand if it no longer holds.'
  );
}

function fromPlan(
  { path, plan, notes }: OpenBook,
  gone: readonly Note[],
  earlier: readonly TakenBack[],
): Omit<TookBack, 'gone'> {
  const before = textOfPlan(path);
  let text = before;
  const stays: PlanPart[] = [];
  for (const part of gone.flatMap((note) => planPartsOf(plan, notes, note, earlier))) {
    const out = part.takeOut(text);
    if (out === 'by hand') stays.push(part);
    else if (out !== 'nothing') {
      if (soundChange(path, before, out.text, itemAt(gone, 0).day)) text = out.text;
      else stays.push(part);
    }
  }
  return { change: text === before ? undefined : { path, before, after: text }, stays };
}
