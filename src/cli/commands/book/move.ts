/** `move`: bags stand elsewhere from a day on; their history and stage go along. */

import type { Command } from 'commander';
import { writeMovedTo } from '../../../../compiler/write/change-batch.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { destinationNamed, moveEntries, swapEntries } from '../../../answers/book/move-entries.ts';
import type { Note } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { readPlanFile } from '../../../jobs/plan-file.ts';
import {
  type BookOptions,
  bagsFor,
  DAY_OPTION,
  type OpenBook,
  withBook,
  writingOf,
} from '../../options/book.ts';
import { changedLines, FLASH_REMINDER, type PlanChange, tryChange, writeChange } from '../../plan-change.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from '../note/tell.ts';
import { END_OPTION, offerEnding } from './ending.ts';

interface Options extends BookOptions {
  readonly to?: string;
  readonly swap?: string;
  readonly end?: boolean;
}

/** Adds what `move` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book that bags were moved; their history and stage go along.\n' +
        'Into an empty zone their batch comes too: that is written into the plan, so that the zone is lit for their stage.\n' +
        'A zone is lit alike for all its bags: where another batch stands, only bags whose light is the same today may join.',
    )
    .argument('<plan>', 'the plan file')
    .argument('<bags...>', 'the bags: names, such as spring-07, or places, such as A-2')
    .option('--to <zone>', 'the zone, such as C (the first free places), or a place, such as C-4')
    .option('--swap <bag>', 'the bag to change places with, where no place is free')
    .option(...DAY_OPTION)
    .option(...END_OPTION)
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward move rack.plan.yaml spring-07 spring-08 --to C\n  leanward move rack.plan.yaml spring-03 --swap spring-11',
    )
    .action((plan: string, bags: string[], options: Options) => run(plan, bags, options));
}

async function run(path: string, words: readonly string[], options: Options): Promise<void> {
  await withBook(path, options, async (book) => {
    const { entries, remarks, change } = moved(book, words, options);
    await book.write(entries);
    if (change) writeChange(change);
    // From here on the plan is the one that has the bags in their new zone.
    const after = change ? { ...book, plan: readPlanFile(path) } : book;
    if (options.json) {
      const changed = change ? changedLines(change) : [];
      sayJson({
        notes: entries.map(noteJson),
        remarks,
        changed,
        ended: await offerEnding(after, entries, options),
      });
      return;
    }
    for (const line of noteLines(entries, book.plan.units)) say(`Kept: ${line}`);
    for (const remark of remarks) say(remark);
    if (change) {
      say(`So that the zone is lit for their stage, ${path} was changed:`);
      for (const line of changedLines(change)) say(`  ${line}`);
      say(FLASH_REMINDER(path));
    }
    await offerEnding(after, entries, options);
  });
}

interface Moved {
  readonly entries: readonly Note[];
  readonly remarks: readonly string[];
  /** What the plan needs for it. */
  readonly change: PlanChange | undefined;
}

/** What is to be written: bags come to a zone, or two change places. */
function moved(book: OpenBook, words: readonly string[], options: Options): Moved {
  const writing = writingOf(book);
  const [life, ...more] = bagsFor(book, words);
  if ((options.to === undefined) === (options.swap === undefined) || !life) {
    throw usage('Where to?', 'Write --to ZONE, or --swap BAG to let two bags change places.');
  }
  if (options.to === undefined) {
    if (more.length > 0) throw usage('Two bags change places, no more.', 'Write one bag before --swap.');
    const other = itemAt(bagsFor(book, [options.swap ?? '']), 0);
    return { ...swapEntries(writing, life, other), change: undefined };
  }
  const to = destinationNamed(writing, options.to);
  const { entries, newcomers, remarks } = moveEntries(writing, book.lives, [life, ...more], to);
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
