/** `began`: a stage was seen to begin, of a batch or of single bags. */

import type { Command } from 'commander';
import { noteLines } from '../../../answers/book/words.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { type Began, beganWords, beginStage } from '../../../jobs/book/began.ts';
import type { OpenBook } from '../../../jobs/book/open-book.ts';
import { changedLines, FLASH_REMINDER } from '../../../jobs/plan-change.ts';

import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from '../note/tell.ts';

interface Options extends BookOptions {
  readonly stage?: string;
}

/** Adds what `began` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book that a stage was seen to begin: knobs (then climb begins), colour (the first colour; then ripen begins), or a stage by its name.\n' +
        "Of a whole batch it is written into the plan too, and its later stages shift. A single bag's is kept for the review; its zone's light goes on for the others.",
    )
    .argument('<plan>', 'the plan file')
    .argument('<what>', 'knobs, colour, or a stage such as climb')
    .argument('<who...>', 'a batch, such as spring, or bags, such as spring-07 or A-2')
    .option('--stage <name>', 'the stage that begins with it, where your regime has other names')
    .option(...DAY_OPTION)
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward began rack.plan.yaml knobs spring\n  leanward began rack.plan.yaml colour spring-07 spring-09',
    )
    .action((plan: string, what: string, who: string[], options: Options) => run(plan, what, who, options));
}

async function run(path: string, what: string, who: readonly string[], options: Options): Promise<void> {
  await withBook(path, options, async (book) => {
    const began = await beginStage(book, what, who, options.stage);
    const { entries, change } = began;
    if (options.json) {
      sayJson({ notes: entries.map(noteJson), changed: change ? changedLines(change) : [] });
      return;
    }
    tell(book, began);
  });
}

function tell(book: OpenBook, began: Began): void {
  const { entries, change, isAsPlanned } = began;
  const { path, plan } = book;
  for (const line of noteLines(entries, plan.units)) say(`Kept: ${line}`);
  if (change) {
    say(beganWords(path, began));
    for (const line of changedLines(change)) say(`  ${line}`);
    if (!isAsPlanned) say(FLASH_REMINDER(path));
  }
  const [bag] = entries.filter((entry) => entry.bag !== '');
  if (bag) say(`The light goes on as planned: to shift the whole batch, write it for ${bag.batch}.`);
}
