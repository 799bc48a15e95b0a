/**
 * The grow book as whatever writes into it opens it: the plan, the bags'
 * lives, and the day that an entry is about.
 *
 * Always holds: an entry is about no day to come; a word that may mean two bags
 * is refused with both.
 */

import { randomUUID } from 'node:crypto';
import { realpathSync } from 'node:fs';
import { civilDayAt } from '../../../compiler/plan/place-time.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type BagLife, bagLives } from '../../answers/bags/lives.ts';
import { bagNamed } from '../../answers/bags/named.ts';
import type { Writing } from '../../answers/book/entries.ts';
import { CULL_REASONS, type Note } from '../../answers/book/note.ts';
import { sealedEntries } from '../../answers/prep/kept.ts';
import { connectionsOf } from '../../archive/connections.ts';
import { readNotes, writeNotes } from '../../archive/notes.ts';
import { archiveName, lookInArchive, withArchive } from '../../archive/open.ts';
import { controllersOf } from '../../archive/read.ts';
import { refused, usage } from '../../failure.ts';
import { whileLocked } from '../../files/lock.ts';
import { list, stretches } from '../../words/lists.ts';
import { type ArchiveToRead, isArchiveThere } from '../archive.ts';
import { todayAt } from '../dates.ts';
import { todayIn } from '../visits/today.ts';

/** The book of a plan, open. */
export interface OpenBook {
  readonly path: string;
  readonly plan: ResolvedPlan;
  /** The plan's name in the archive, and where that lies. */
  readonly name: string;
  readonly place: string;
  readonly notes: readonly Note[];
  readonly lives: readonly BagLife[];
  /** The day that an entry is about. */
  readonly day: CivilDay;
  readonly nowMs: number;
  /** Writes entries, all or none, making the archive where there is none. */
  readonly write: (entries: readonly Note[]) => Promise<void>;
}

/** Which book is opened, and for which day. */
export interface BookToOpen {
  readonly path: string;
  readonly plan: ResolvedPlan;
  readonly where: ArchiveToRead;
  /** The day that an entry is about; undefined: today. */
  readonly day: CivilDay | undefined;
}

/** Opens the book of a plan and lets `act` use it; two programs at once write one after the other. */
export function withOpenBook<T>(
  { path, plan, where, day: named }: BookToOpen,
  act: (book: OpenBook) => Promise<T>,
): Promise<T> {
  const { place, name, practice } = where;
  const nowMs = Date.now();
  return whileLocked(realpathSync(path), async () => {
    const { notes, met } = await bookAt(place, plan, name);
    const { day: today } = await todayIn(plan, where);
    const day = named ?? today;
    const last = Math.max(today, met, practice ? todayAt(plan.timezone, undefined) : 0);
    if (day > last) {
      throw refused(`${isoDate(day)} is still to come: today is ${isoDate(today)}.`, 'Check the day.');
    }
    const lives = bagLives(plan, notes);
    // What was sealed by now is kept with the first entry after, before the plan can change.
    const sealing = { plan, name, day: civilDay(Math.max(today, met, day)), nowMs, newId: randomUUID };
    const write = (entries: readonly Note[]): Promise<void> =>
      withArchive(place, nowMs, (archive) =>
        writeNotes(archive, [...sealedEntries(sealing, notes), ...entries]),
      );
    return act({ path, plan, name, place, notes, lives, day, nowMs, write });
  });
}

/**
 * What the book has, and the last day on which a controller of the plan was heard of: a virtual one has a time of
 * its own. Looking makes no archive.
 */
async function bookAt(
  place: string,
  plan: ResolvedPlan,
  name: string,
): Promise<{ readonly notes: readonly Note[]; readonly met: number }> {
  if (!isArchiveThere(place)) return { notes: [], met: 0 };
  const names = plan.controllers.map((controller) => archiveName(name, controller.name));
  return lookInArchive(place, Date.now(), async (archive) => {
    const met: number[] = [0];
    for (const { identity, name: known } of await controllersOf(archive)) {
      const last = names.includes(known ?? '') ? (await connectionsOf(archive, identity)).at(-1) : undefined;
      if (last) met.push(civilDayAt(plan.timezone, last.controller));
    }
    return { notes: await readNotes(archive, name), met: Math.max(...met) };
  });
}

/** What of an open book tells which bag is meant. */
export type BookOfDay = Pick<OpenBook, 'plan' | 'lives' | 'day'>;

/** The bags that words name on the day of the book, each once, in the order given; `otherwise` is said where one names none. */
export function bagsFor(book: BookOfDay, words: readonly string[], otherwise = ''): BagLife[] {
  return [...new Set(words.map((word) => bagFor(book, word, otherwise)))];
}

/** The batch that a word names, where it names no bag. */
export function batchNamed({ plan, lives, day }: BookOfDay, word: string): string | undefined {
  if (bagNamed(plan, lives, word, day).found !== 'nothing') return undefined;
  return plan.batches.find(({ name }) => name === word)?.name;
}

function bagFor({ plan, lives, day }: BookOfDay, word: string, otherwise: string): BagLife {
  const named = bagNamed(plan, lives, word, day);
  switch (named.found) {
    case 'bag':
      return named.life;
    case 'several':
      throw refused(
        `'${word}' may be ${named.readings.join(', or ')}.`,
        'Write the bag by its name, or its place with the dash.',
      );
    case 'empty':
      throw refused(`No bag has stood in ${named.place}.`, bagsThereAre(plan));
    case 'nothing':
      throw usage(`The plan has no bag '${word}'.`, `${bagsThereAre(plan)} ${otherwise}`.trim());
  }
}

function bagsThereAre(plan: ResolvedPlan): string {
  const places = plan.zones.slice(0, 6).flatMap((zone) => zone.places.map(({ name }) => name));
  const more = plan.zones.length > 6 ? ' and so on' : '';
  const [first] = plan.batches;
  return `Its places are ${list(stretches(places))}${more}${first ? `; bags are named ${first.name}-01 and so on` : ''}.`;
}

/** What a new entry of the open book needs. */
export function writingOf({ plan, name, day, nowMs }: OpenBook): Writing {
  return { plan, name, day, nowMs, newId: randomUUID };
}

/** A reason to cull, as written. */
export function cullReason(why: string | undefined): string {
  const asked = why === 'mold' ? 'mould' : (why ?? 'other');
  const known = CULL_REASONS.find((one) => one === asked);
  if (!known) throw usage(`'${why}' is no reason.`, `Write --why with one of ${list(CULL_REASONS)}.`);
  return known;
}
