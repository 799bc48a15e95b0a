/** `note`: the grow book: what was measured and seen; the list of it; taking an entry back. */

import type { Command } from 'commander';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import type { Units } from '../../../../shared/measures.ts';
import { cullEntry, noteEntry, type Writing, wholeEntry } from '../../../answers/book/entries.ts';
import { heightTold, refuseTallerThanBag } from '../../../answers/book/height-told.ts';
import { CULL_REASONS, type Note, type Observations } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { usage } from '../../../failure.ts';
import { photoFile } from '../../../files/photos.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { measuredFrom, type WaysToWrite } from '../../../jobs/book/measured.ts';
import { cullReason, type OpenBook, writingOf } from '../../../jobs/book/open-book.ts';
import { writeWithPhoto } from '../../../jobs/book/photo-note.ts';
import { readPlanFile } from '../../../jobs/plan-file.ts';
import { list } from '../../../words/lists.ts';
import { type BookOptions, DAY_OPTION, withBook } from '../../options/book.ts';
import { say, sayJson } from '../../terminal.ts';
import { offerEnding } from '../book/ending.ts';
import { type About, aboutOf } from './about.ts';
import { noteJson, tellCulls } from './tell.ts';
import { withdraw } from './withdraw.ts';

interface Options extends BookOptions {
  readonly rack?: boolean;
  readonly height?: string;
  readonly lean?: string;
  readonly photo?: string;
  readonly mass?: string;
  readonly cull?: boolean;
  readonly why?: string;
  readonly withdraw?: string;
}

/** Adds what `note` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book: height, lean, a photo, a mass, a word; or that a bag was culled.\n' +
        'Words in quotes without a bag are of the whole rack. Without either it shows what is in the book, and what the measured leans say about the bending rate.',
    )
    .argument('<plan>', 'the plan file')
    .argument('[bag]', 'the bag: its name, such as spring-07, or its place, such as A-2; or a batch')
    .argument('[text...]', 'anything worth remembering')
    .option('--rack', 'a note on the whole rack: all words belong to it')
    .option('--height <length>', 'height of the growth above the block, such as "12 cm" or "5 in"')
    .option('--lean <angle>', 'its lean from the vertical, and to which side, such as "20 deg left"')
    .option('--photo <file>', 'a photo: it is copied beside the archive')
    .option('--mass <mass>', 'a mass, such as "85 g" or "3 oz" (`harvest` takes the bag out too)')
    .option('--cull', 'the bag was culled (as `cull` does)')
    .option('--why <reason>', `why it was culled: ${list(CULL_REASONS)}`)
    .option(...DAY_OPTION)
    .option('--withdraw <id>', 'take an entry back, of any kind, and what it wrote into the plan')
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward note rack.plan.yaml A-2 --height "12 cm" --lean "20 deg left"\n  leanward note rack.plan.yaml spring-07 three tips, one forked\n  leanward note rack.plan.yaml "fan moved to the left"',
    )
    .action((plan: string, bag: string | undefined, text: string[], options: Options) =>
      run(plan, bag, text, options),
    );
}

async function run(
  path: string,
  bag: string | undefined,
  text: readonly string[],
  options: Options,
): Promise<void> {
  if (options.withdraw !== undefined) await withdraw(path, options.withdraw, options);
  else if (bag === undefined && options.rack === undefined) await show(path, options);
  else await withBook(path, options, (book) => write(book, bag ?? '', text, options));
}

async function write(book: OpenBook, word: string, text: readonly string[], options: Options): Promise<void> {
  const writing = writingOf(book);
  const about = aboutOf(book, word, text, options.rack === true);
  const observed = observations(options, about.text, book.plan.units);
  if (options.why !== undefined && !options.cull)
    throw usage('--why goes with --cull.', 'Write the reason as text.');
  if (!options.cull && Object.values(observed).every((value) => value === undefined)) {
    throw usage('There is nothing to note.', 'Add --height, --lean, --photo, --mass, --cull or some words.');
  }
  const entry = entryOf(writing, about, observed, options);
  const note = await writeWithPhoto(
    book,
    entry,
    options.photo === undefined ? undefined : photoFile(options.photo),
  );
  await tell(book, note, options);
}

function entryOf(writing: Writing, about: About, observed: Observations, { cull, why }: Options): Note {
  if ('life' in about) {
    if (!cull) return noteEntry(writing, about.life, observed);
    refuseTallerThanBag(writing.plan, about.life, observed.heightMm);
    return { ...cullEntry(writing, about.life, cullReason(why), undefined), ...observed };
  }
  if (cull) throw usage('A cull is of one bag.', 'Name the bag first, or several with `cull`.');
  return wholeEntry(writing, about.batch, observed);
}

function observations(options: Options, text: string, units: Units): Observations {
  return {
    ...measuredFrom(options, units, WAYS),
    photo: options.photo,
    text: text === '' ? undefined : text,
  };
}

const WAYS: WaysToWrite = {
  height: '--height "12 cm"',
  lean: '--lean "20 deg left"',
  mass: '--mass "85 g"',
};

/** Says what was kept, and what a cull brings with it. */
async function tell(book: OpenBook, note: Note, options: Options): Promise<void> {
  const remarks = heightTold(book.plan, book.lives, note);
  if (note.kind === 'cull') {
    tellCulls(book, [note], options.json === true);
    if (options.json) return;
    for (const remark of remarks) say(remark);
    await offerEnding(book, [note], options);
    return;
  }
  if (options.json) {
    sayJson({ note: noteJson(note), remarks });
    return;
  }
  say(`Kept: ${noteLines([note], book.plan.units)[0]}`);
  for (const remark of remarks) say(remark);
}

async function show(path: string, options: Options): Promise<void> {
  const { notesOf } = await import('../../../jobs/book/of-plan.ts');
  const { bendingRate, bendingWords } = await import('../../../answers/book/bending.ts');
  const { compilePlanFile } = await import('../../../jobs/plan-file.ts');
  const plan: ResolvedPlan = readPlanFile(path);
  const notes = await notesOf(path, options);
  const measured = notes.some((note) => note.leanDeg !== undefined);
  const fit = measured
    ? bendingRate(plan, (await compilePlanFile(path, undefined)).timeline.steered, notes)
    : undefined;
  if (options.json) {
    sayJson({ notes: notes.map(noteJson), bending: fit });
    return;
  }
  say(notes.length === 0 ? 'The grow book is empty.' : noteLines(notes, plan.units).join('\n'));
  if (fit) say(bendingWords(plan, fit));
}
