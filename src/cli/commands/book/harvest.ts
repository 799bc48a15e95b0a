/** `harvest`: bags were cut and weighed; they are out, and their visits stop. */

import type { Command } from 'commander';
import { parseQuantity } from '../../../../compiler/read/quantity.ts';
import { inUnits, type Units } from '../../../../shared/measures.ts';
import { harvestEntries } from '../../../answers/book/harvest-entries.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { type BookOptions, bagsFor, DAY_OPTION, withBook, writingOf } from '../../options/book.ts';
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
    .option('--fresh <mass...>', 'the fresh mass, such as 85 g; of several bags one each: "85 g, 90 g"')
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
    const weighed = {
      freshG: masses(options.fresh, '--fresh', lives.length, isTogether, units),
      dryG: masses(options.dry, '--dry', lives.length, isTogether, units),
      ...{ isTogether, text: options.note },
    };
    if (!weighed.freshG && !weighed.dryG) {
      throw usage('No mass is given.', `Write ${inUnits('--fresh "85 g"', units)}, or --dry once it is dry.`);
    }
    const entries = harvestEntries(writingOf(book), lives, weighed);
    await book.write(entries);
    if (options.json) {
      sayJson({ notes: entries.map(noteJson), ended: await offerEnding(book, entries, options) });
      return;
    }
    for (const line of noteLines(entries, units)) say(`Kept: ${line}`);
    if (weighed.freshG)
      say(`${entries.length === 1 ? 'It is' : 'They are'} out; visits there count the bags that are left.`);
    await offerEnding(book, entries, options);
  });
}

/** Grams: one mass a bag, or one for all that were weighed together. */
function masses(
  words: readonly string[] | undefined,
  option: string,
  bags: number,
  isTogether: boolean,
  units: Units,
): number[] | undefined {
  if (!words) return undefined;
  const texts = words.join(' ').split(',');
  const grams = texts.map((text) => {
    const read = parseQuantity(text.trim(), 'mass');
    if ('value' in read) return Math.round(read.value * 1e6) / 1000;
    const hint = `Write the bags first, then ${inUnits(`${option} "85 g"`, units)}; several masses with commas.`;
    throw usage(`'${text.trim()}' is no mass with its unit.`, hint);
  });
  const wanted = isTogether ? 1 : bags;
  if (grams.length === wanted) return grams;
  throw usage(
    `${bags} ${bags === 1 ? 'bag' : 'bags'} and ${grams.length} ${grams.length === 1 ? 'mass' : 'masses'}.`,
    isTogether
      ? 'With --together give one mass for all.'
      : 'Give one mass a bag, with commas between; or one for all with --together.',
  );
}
