/** Bags are moved: entries of the book, and the plan that has their batch in a zone it was not in before. */

import { readPlan } from '../../../compiler/read-plan.ts';
import { writeMovedTo } from '../../../compiler/write/change-batch.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import {
  destinationNamed,
  moveEntries,
  swapEntries,
  type WayToSwap,
} from '../../answers/book/move-entries.ts';
import type { Note } from '../../answers/book/note.ts';
import { usage } from '../../failure.ts';
import { type PlanChange, tryChange, writeChange } from '../plan-change.ts';
import { boardsById } from '../plan-file.ts';
import { bagsFor, type OpenBook, writingOf } from './open-book.ts';

/** Where bags go: to a zone or place, or to where another bag stands, which comes here. */
export interface WhereTo {
  readonly to?: string | undefined;
  readonly swap?: string | undefined;
}

/** How the grower says where to, in the words of where she is. */
export interface WaysToMove {
  readonly whereTo: string;
  readonly oneBag: string;
  readonly notBoth: string;
  readonly swap: WayToSwap;
}

/** On the command line. */
const BY_OPTIONS: WaysToMove = {
  whereTo: 'Write --to ZONE, or --swap BAG to let two bags change places.',
  oneBag: 'Write one bag before --swap.',
  notBoth: 'Leave out --to or --swap.',
  swap: (bag = 'BAG') => `--swap ${bag}`,
};

/** What is written. */
export interface MovesToWrite {
  readonly entries: readonly Note[];
  /** What the grower should know about light to come. */
  readonly remarks: readonly string[];
  /** How the plan changes with it. */
  readonly change: PlanChange | undefined;
}

export interface MovedBags extends MovesToWrite {
  /** The book with the plan as it is now. */
  readonly after: OpenBook;
}

/** Moves the bags that words name, in the book and, where it must, in the plan. */
export async function moveBags(
  book: OpenBook,
  words: readonly string[],
  where: WhereTo,
  ways: WaysToMove = BY_OPTIONS,
): Promise<MovedBags> {
  const found = movesToWrite(book, words, where, ways);
  const { entries, change } = found;
  await book.write(entries);
  if (!change) return { ...found, after: book };
  writeChange(change);
  // From here on the plan is the one that has the bags in their new zone.
  const plan = sure(readPlan(change.after, { boards: boardsById() }).plan);
  return { ...found, after: { ...book, plan } };
}

/** What would be written, and nothing is: bags come to a zone, or two change places. Throws Failure as moving does. */
export function movesToWrite(
  book: OpenBook,
  words: readonly string[],
  where: WhereTo,
  ways: WaysToMove,
): MovesToWrite {
  const writing = writingOf(book);
  const [life, ...more] = bagsFor(book, words);
  if (where.to !== undefined && where.swap !== undefined) {
    throw usage('Bags go to a zone or change places, not both.', ways.notBoth);
  }
  if ((where.to ?? where.swap) === undefined || !life) {
    throw usage('Where to?', ways.whereTo);
  }
  if (where.to === undefined) {
    if (more.length > 0) throw usage('Two bags change places, no more.', ways.oneBag);
    const other = itemAt(bagsFor(book, [where.swap ?? '']), 0);
    return { ...swapEntries(writing, life, other), change: undefined };
  }
  const to = destinationNamed(writing, where.to);
  const { entries, newcomers, remarks } = moveEntries(writing, book.lives, [life, ...more], to, ways.swap);
  const [newcomer] = newcomers;
  return { entries, remarks, change: newcomer === undefined ? undefined : comingIn(book, newcomer, to.zone) };
}

/** The batch comes into a zone of the plan on the day. */
function comingIn({ plan, path, day }: OpenBook, batch: number, zone: number): PlanChange {
  const { name, zones } = itemAt(plan.batches, batch);
  const before = zones.map((stay) => itemAt(plan.zones, stay.zone).name);
  const target = itemAt(plan.zones, zone).name;
  return tryChange(path, (text) => writeMovedTo(text, name, before, target, day), {
    what: 'The bags were not moved',
    day,
  });
}
