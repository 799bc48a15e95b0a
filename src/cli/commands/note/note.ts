/** `note`: the grow book: what was measured, seen, weighed or taken out. */

import { randomUUID } from 'node:crypto';
import type { Command } from 'commander';
import { batchOn } from '../../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { inUnits, type Units } from '../../../../shared/measures.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { bagsOut, closerLooks, endedHint } from '../../../answers/book/culls.ts';
import { CULL_REASONS, type Note } from '../../../answers/book/note.ts';
import { noteLines } from '../../../answers/book/words.ts';
import { readNotes, withdrawNote, writeNote } from '../../../archive/notes.ts';
import { withArchive } from '../../../archive/open.ts';
import { usage } from '../../../failure.ts';
import { list } from '../../../words/lists.ts';
import { ARCHIVE_OPTION, archiveToRead } from '../../options/archive.ts';
import { quantityOption, todayAt } from '../../options/dates.ts';
import { readPlanFile } from '../../plan-file.ts';
import { say, sayJson } from '../../terminal.ts';

interface Options {
  readonly archive?: string;
  readonly height?: string;
  readonly lean?: string;
  readonly photo?: string;
  readonly mass?: string;
  readonly cull?: boolean;
  readonly why?: string;
  readonly batch?: string;
  readonly day?: string;
  readonly withdraw?: string;
  readonly json?: boolean;
}

/** Adds what `note` takes. */
export function define(command: Command): void {
  command
    .description(
      'Writes into the grow book: height, lean, a photo, a harvest, a word; or that a bag was taken out.\n' +
        'Without a bag it shows what is in the book, and what the measured leans say about the bending rate.',
    )
    .argument('<plan>', 'the plan file')
    .argument('[bag]', 'the bag, such as A2')
    .argument('[text...]', 'anything worth remembering')
    .option('--height <length>', 'height of the growth, such as "12 cm" or "5 in"')
    .option('--lean <angle>', 'its lean from the vertical, such as "20 deg"')
    .option('--photo <file>', 'the name of a photo')
    .option('--mass <mass>', 'what was harvested, such as "85 g" or "3 oz"')
    .option('--cull', 'the bag was taken out')
    .option('--why <reason>', `why it was taken out: ${list(CULL_REASONS)}`)
    .option('--batch <name>', 'the batch (else the one that stands there on the day)')
    .option('--day <date>', 'the day it is about (today)')
    .option('--withdraw <id>', 'take a note back')
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward note rack.plan.yaml A2 --height "12 cm" --lean "20 deg"\n  leanward note rack.plan.yaml A2 --cull --why mould',
    )
    .action((plan: string, bag: string | undefined, text: string[], options: Options) =>
      run(plan, bag, text.join(' '), options),
    );
}

async function run(path: string, bag: string | undefined, text: string, options: Options): Promise<void> {
  const plan = readPlanFile(path);
  const { place, name } = archiveToRead(path, options);
  const now = Date.now();
  await withArchive(place, now, async (archive) => {
    if (options.withdraw !== undefined) {
      const gone = await withdrawNote(archive, name, options.withdraw, randomUUID(), now);
      if (options.json) sayJson({ note: { ...gone, day: isoDate(gone.day) } });
      else say(`Taken back: ${noteLines([gone], plan.units)[0]}`);
    } else if (bag === undefined) {
      await show(path, plan, await readNotes(archive, name), options);
    } else {
      const note = noteFrom(plan, name, bag, text, options, now);
      await writeNote(archive, note);
      tell(plan, await readNotes(archive, name), note, options);
    }
  });
}

function noteFrom(
  plan: ResolvedPlan,
  name: string,
  bag: string,
  text: string,
  options: Options,
  now: number,
): Note {
  const day = todayAt(plan.timezone, options.day);
  const zone = plan.zones.find((one) => one.places.some((place) => place.name === bag));
  if (!zone) {
    const all = plan.zones.flatMap((one) => one.places.map((place) => place.name));
    const some = all.length > 12 ? `${all.slice(0, 12).join(', ')} and so on` : list(all);
    throw usage(`The plan has no bag '${bag}'.`, `It has ${some}.`);
  }
  const observed = {
    heightMm: within(
      quantityOption(options.height, 'length', '--height "12 cm"', plan.units),
      MOST_MM,
      '--height "12 cm"',
      plan.units,
    ),
    leanDeg: within(
      quantityOption(options.lean, 'angle', '--lean "20 deg"', plan.units),
      180,
      '--lean "20 deg"',
      plan.units,
    ),
    massG: grams(
      within(
        quantityOption(options.mass, 'mass', '--mass "85 g"', plan.units),
        MOST_KG,
        '--mass "85 g"',
        plan.units,
      ),
    ),
    photo: options.photo,
    text: text === '' ? undefined : text,
  };
  if (options.why !== undefined && !options.cull)
    throw usage('--why goes with --cull.', 'Write the reason as text.');
  if (!options.cull && Object.values(observed).every((value) => value === undefined)) {
    throw usage('There is nothing to note.', 'Add --height, --lean, --photo, --mass, --cull or some words.');
  }
  return {
    ...{ id: randomUUID(), plan: name, zone: zone.name, bag, day, writtenMs: now, ...observed },
    batch: batchFor(plan, zone.name, day, options),
    kind: options.cull ? 'cull' : 'note',
    why: options.cull ? reason(options.why) : undefined,
  };
}

/** Beyond these a unit was mistaken: no bag is so tall, nor its growth so heavy. */
const MOST_MM = 2000;
const MOST_KG = 20;

/** A measure that a bag can have; a slip of the pen must not reach the estimate. */
function within(value: number | undefined, most: number, option: string, units: Units): number | undefined {
  if (value === undefined || (value >= 0 && value <= most)) return value;
  throw usage('That value is out of range.', `Write ${inUnits(option, units)}.`);
}

function grams(kilograms: number | undefined): number | undefined {
  return kilograms === undefined ? undefined : Math.round(kilograms * 1e6) / 1000;
}

function reason(why: string | undefined): string {
  const known = CULL_REASONS.find((one) => one === (why ?? 'other'));
  if (!known) throw usage(`'${why}' is no reason.`, `Write --why with one of ${list(CULL_REASONS)}.`);
  return known;
}

/** The batch named, else the one that stands in the zone on the day, else the last one that did. */
function batchFor(plan: ResolvedPlan, zoneName: string, day: CivilDay, options: Options): string {
  if (options.batch !== undefined) {
    if (plan.batches.some((one) => one.name === options.batch)) return options.batch;
    throw usage(
      `The plan has no batch '${options.batch}'.`,
      `It has ${list(plan.batches.map((one) => one.name))}.`,
    );
  }
  const zone = plan.zones.findIndex((one) => one.name === zoneName);
  const index = batchOn(plan, zone, day);
  if (index !== undefined) return itemAt(plan.batches, index).name;
  const past = plan.batches.filter((one) => one.zones.some((stay) => stay.zone === zone && stay.free <= day));
  const last = past.at(-1);
  if (last) return last.name;
  throw usage(
    `No batch stands in zone ${zoneName} on ${isoDate(day)}.`,
    'Name one with --batch, or another --day.',
  );
}

/** Says what was kept, and what a cull brings with it. */
function tell(plan: ResolvedPlan, notes: readonly Note[], note: Note, options: Options): void {
  const looks = closerLooks(plan, [note]).filter((look) => !bagsOut(notes, note.batch).has(look.bag));
  const hint = note.kind === 'cull' ? endedHint(plan, notes, note) : undefined;
  if (options.json) {
    sayJson({ note: { ...note, day: isoDate(note.day) }, closerLooks: looks.map((look) => look.bag), hint });
    return;
  }
  say(`Kept: ${noteLines([note], plan.units)[0]}`);
  if (note.kind !== 'cull') return;
  say(`${note.bag} is no longer counted in visits and light figures.`);
  if (looks.length > 0) {
    say(`A closer look at ${list(looks.map((look) => look.bag))} every 2 days for 10 days: see \`visits\`.`);
  }
  if (hint) say(hint);
}

async function show(
  path: string,
  plan: ResolvedPlan,
  notes: readonly Note[],
  options: Options,
): Promise<void> {
  const { bendingRate, bendingWords } = await import('../../../answers/book/bending.ts');
  const { compilePlanFile } = await import('../../plan-file.ts');
  const measured = notes.some((note) => note.leanDeg !== undefined);
  const fit = measured
    ? bendingRate(plan, (await compilePlanFile(path, undefined)).timeline.steered, notes)
    : undefined;
  if (options.json) {
    sayJson({ notes: notes.map((note) => ({ ...note, day: isoDate(note.day) })), bending: fit });
    return;
  }
  say(notes.length === 0 ? 'The grow book is empty.' : noteLines(notes, plan.units).join('\n'));
  if (fit) say(bendingWords(plan, fit));
}
