/** `cull`: bags were taken out for good; without a bag, what was lost by cause and week. */

import type { Command } from 'commander';
import { cullCounts, cullLines } from '../../../answers/book/cull-counts.ts';
import { cullEntry } from '../../../answers/book/entries.ts';
import { CULL_REASONS } from '../../../answers/book/note.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { bagsFor, cullReason, writingOf } from '../../../jobs/book/open-book.ts';
import { list } from '../../../words/lists.ts';
import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { tellCulls } from '../note/tell.ts';
import { END_OPTION, offerEnding } from './ending.ts';

interface Options extends BookOptions {
  readonly why?: string;
  readonly note?: string;
  readonly end?: boolean;
}

/** Adds what `cull` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book that bags were culled: they leave visits and light figures, and the bags near them get a closer look.\n' +
        'Without a bag it shows what was lost, by cause and week.',
    )
    .argument('<plan>', 'the plan file')
    .argument('[bags...]', 'the bags: names, such as spring-07, or places, such as A-2')
    .option('--why <reason>', `why: ${list(CULL_REASONS)}`)
    .option('--note <text>', 'a word on it')
    .option(...DAY_OPTION)
    .option(...END_OPTION)
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward cull rack.plan.yaml spring-07 A-3 --why mould')
    .action((plan: string, bags: string[], options: Options) => run(plan, bags, options));
}

async function run(path: string, words: readonly string[], options: Options): Promise<void> {
  await withBook(path, options, async (book) => {
    if (words.length === 0) {
      if (options.why !== undefined) throw usage('No bag is named.', 'Write cull PLAN BAG --why mould.');
      const counts = cullCounts(book.plan, book.lives);
      if (options.json) sayJson({ culls: counts, ended: await offerEnding(book, [], options) });
      else {
        say(cullLines(counts).join('\n'));
        await offerEnding(book, [], options);
      }
      return;
    }
    const why = cullReason(options.why);
    const entries = bagsFor(book, words).map((life) => cullEntry(writingOf(book), life, why, options.note));
    await book.write(entries);
    tellCulls(book, entries, options.json === true);
    if (options.json !== true || options.end) await offerEnding(book, entries, options);
  });
}
