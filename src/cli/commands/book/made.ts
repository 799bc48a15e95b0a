/** `made`: a step of making a lot: mixing, sterilising, cooling, inoculating. */

import type { Command } from 'commander';
import { parseTime } from '../../../../compiler/read/moment.ts';
import { MADE_STEPS, madeEntry } from '../../../answers/book/made.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { batchesOfLot } from '../../../answers/review/lot.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { writingOf } from '../../../jobs/book/open-book.ts';
import { list } from '../../../words/lists.ts';
import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { noteJson } from '../note/tell.ts';

interface Options extends BookOptions {
  readonly from?: string;
  readonly until?: string;
  readonly load?: string;
  readonly note?: string;
}

/** Adds what `made` takes. */
export function define(command: Command): void {
  command
    .description(
      `Writes into the grow book how a lot was made: ${list(MADE_STEPS)}, with times and load. It stands on the bag sheet and in the record of the lot.`,
    )
    .argument('<plan>', 'the plan file')
    .argument('<lot>', 'the lot, or a batch')
    .argument('<step>', list(MADE_STEPS))
    .option('--from <time>', 'when it began, such as 14:00')
    .option('--until <time>', 'when it ended (earlier than it began: on the day after)')
    .option('--load <text>', 'how much at once, such as "24 bags"')
    .option('--note <text>', 'a word on it')
    .option(...DAY_OPTION)
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExample:\n  leanward made rack.plan.yaml spring sterilised --from 14:00 --until 16:30 --load "24 bags" --day 2026-02-15',
    )
    .action((plan: string, lot: string, step: string, options: Options) => run(plan, lot, step, options));
}

async function run(path: string, lot: string, word: string, options: Options): Promise<void> {
  const step = MADE_STEPS.find((one) => one === word);
  if (!step) throw usage(`'${word}' is no step of making a lot.`, `Write one of ${list(MADE_STEPS)}.`);
  const made = { from: minute(options.from), until: minute(options.until), load: options.load };
  await withBook(path, options, async (book) => {
    const { plan, notes } = book;
    const batches = batchesOfLot(plan, lot);
    if (batches.length === 0) {
      const known = [...new Set(plan.batches.map((batch) => batch.lot ?? batch.name))];
      throw usage(`The plan has no lot '${lot}'.`, `It has ${list(known)}.`);
    }
    const entries = batches.map((batch) =>
      madeEntry(writingOf(book), notes, plan.batches.indexOf(batch), step, made, options.note),
    );
    await book.write(entries);
    if (options.json) sayJson({ notes: entries.map(noteJson) });
    else for (const line of noteLines(entries, plan.units)) say(`Kept: ${line}`);
  });
}

function minute(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const found = parseTime(text);
  if (found !== undefined && found < 1440) return found;
  throw usage(`'${text}' is no time of day.`, 'Write 14:00 or 2 pm.');
}
