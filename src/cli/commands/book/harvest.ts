/** `harvest`: bags were cut and weighed; they are out, and their visits stop. */

import type { Command } from 'commander';
import { inUnits } from '../../../../shared/measures.ts';
import { harvestEntries } from '../../../answers/book/harvest-entries.ts';
import { harvestTold } from '../../../answers/book/harvest-told.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { massesFrom, type WaysToWeigh } from '../../../jobs/book/measured.ts';

import { bagsFor, writingOf } from '../../../jobs/book/open-book.ts';
import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from '../note/tell.ts';
import { END_OPTION, offerEnding } from './ending.ts';

interface Options extends BookOptions {
  readonly fresh?: readonly string[];
  readonly dry?: readonly string[];
  readonly together?: boolean;
  readonly note?: string;
  readonly end?: boolean;
}

/** Adds what `harvest` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book that bags were harvested: they are out, and their visits stop.\n' +
        'Their dry mass may follow in a second entry, once it is known.',
    )
    .argument('<plan>', 'the plan file')
    .argument('<bags...>', 'the bags: names, such as spring-07, or places, such as A-2')
    .option(
      '--fresh <mass...>',
      'the fresh mass, such as 85 g; of several bags one each, in their order: "85 g" "90 g"',
    )
    .option('--dry <mass...>', 'the dry mass, such as 30 g')
    .option('--together', 'the bags were weighed at once: each has an equal share')
    .option('--note <text>', 'a word on it')
    .option(...DAY_OPTION)
    .option(...END_OPTION)
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward harvest rack.plan.yaml spring-07 --fresh 85 g\n' +
        '  leanward harvest rack.plan.yaml A-1 A-2 A-3 --fresh 240 g --together\n' +
        '  leanward harvest rack.plan.yaml spring-07 --dry 30 g',
    )
    .action((plan: string, bags: string[], options: Options) => run(plan, bags, options));
}

async function run(path: string, words: readonly string[], options: Options): Promise<void> {
  await withBook(path, options, async (book) => {
    const lives = bagsFor(book, words);
    const { units } = book.plan;
    const isTogether = options.together === true;
    const masses = (words: readonly string[] | undefined, option: string): number[] | undefined =>
      massesFrom(words, lives.length, isTogether, units, weighed(option));
    const [freshG, dryG] = [masses(options.fresh, '--fresh'), masses(options.dry, '--dry')];
    if (!freshG && !dryG) {
      throw usage('No mass is given.', `Write ${inUnits('--fresh "85 g"', units)}, or --dry once it is dry.`);
    }
    const entries = harvestEntries(writingOf(book), lives, {
      ...{ freshG, dryG, isTogether, text: options.note },
    });
    await book.write(entries);
    const remarks = harvestTold(book.plan, book.notes, entries, lives);
    if (options.json) {
      const ended = await offerEnding(book, entries, options);
      sayJson({ notes: entries.map(noteJson), remarks, ended });
      return;
    }
    for (const line of noteLines(entries, units)) say(`Kept: ${line}`);
    for (const remark of remarks) say(remark);
    if (freshG)
      say(`${entries.length === 1 ? 'It is' : 'They are'} out; visits there count the bags that are left.`);
    await offerEnding(book, entries, options);
  });
}

/** How masses are written on the command line; `option` is the one they belong to. */
const weighed = (option: string): WaysToWeigh => ({
  example: `Write the bags first, then ${option} "85 g"; several masses one after the other: "85 g" "90 g".`,
  count: (isTogether) =>
    isTogether
      ? 'With --together give one mass for all.'
      : 'Give one mass a bag, in the order of the bags; or one for all with --together.',
});
