/** `began`: a stage was seen to begin, of a batch or of single bags. */

import type { Command } from 'commander';
import { writeBegan } from '../../../../compiler/write/change-batch.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { bagBegan, batchBegan, begunNamed, SIGNS, stageBegun } from '../../../answers/book/began-entries.ts';
import type { Note } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { usage } from '../../../failure.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
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
    const batches = who.map((word) => book.plan.batches.findIndex(({ name }) => name === word));
    const entries: Note[] = [];
    const changes: PlanChange[] = [];
    for (const [i, batch] of batches.entries()) {
      if (batch < 0) entries.push(...bagEntries(book, what, itemAt(who, i)));
      else {
        entries.push(
          batchBegan(writingOf(book), book.notes, batch, begunNamed(writingOf(book), batch, what)),
        );
        changes.push(shift(book, batch, what, options.stage));
      }
    }
    if (changes.length > 1) throw usage('One batch at a time.', 'Write the command once for each.');
    await book.write(entries);
    for (const change of changes) writeChange(change);
    if (options.json) {
      sayJson({ notes: entries.map(noteJson), changed: changes.flatMap(changedLines) });
      return;
    }
    tell(book, entries, changes);
  });
}

function bagEntries(book: OpenBook, what: string, word: string): Note[] {
  const writing = writingOf(book);
  return bagsFor(book, [word]).map((life) => bagBegan(writing, life, begunNamed(writing, life.batch, what)));
}

/** The plan with the stage begun, and the later ones shifted. */
function shift(book: OpenBook, batch: number, word: string, named: string | undefined): PlanChange {
  const { plan, path, day } = book;
  const writing = writingOf(book);
  const what = named === undefined ? begunNamed(writing, batch, word) : begunNamed(writing, batch, named);
  const stage = stageBegun(writing, batch, what);
  const { name } = itemAt(plan.batches, batch);
  if (stage === undefined) {
    throw usage(`${name} has no stage ${SIGNS[what] ?? what}.`, 'Say which stage begins with --stage NAME.');
  }
  return tryChange(path, (text) => writeBegan(text, name, stage, day), {
    what: 'The stage was not begun',
    day,
  });
}

function tell(book: OpenBook, entries: readonly Note[], changes: readonly PlanChange[]): void {
  const { path, plan } = book;
  for (const line of noteLines(entries, plan.units)) say(`Kept: ${line}`);
  for (const change of changes) {
    say(`The stages that follow shift; in ${path}:`);
    for (const line of changedLines(change)) say(`  ${line}`);
    say(FLASH_REMINDER(path));
  }
  const [bag] = entries.filter((entry) => entry.bag !== '');
  if (bag) say(`The light goes on as planned: to shift the whole batch, write it for ${bag.batch}.`);
}
