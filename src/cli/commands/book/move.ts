/** `move`: bags stand elsewhere from a day on; their history and stage go along. */

import type { Command } from 'commander';
import { noteLines } from '../../../answers/book/words.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { moveBags } from '../../../jobs/book/move.ts';
import { changedLines, FLASH_REMINDER } from '../../../jobs/plan-change.ts';
import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
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
    const { entries, remarks, change, after } = await moveBags(book, words, options);
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
