/**
 * What is done with one press in the evening: a visit answered, an entry of the
 * grow book, what an entry brings into the plan.
 *
 * Always holds: a press does what the command of the same work does, through the
 * same functions, and is refused for the same reasons; what is refused writes
 * nothing.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { inUnits } from '../../../shared/measures.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { cullsTold } from '../../answers/book/culls-told.ts';
import { cullEntry, noteEntry, wholeEntry } from '../../answers/book/entries.ts';
import { harvestEntries } from '../../answers/book/harvest-entries.ts';
import { harvestTold } from '../../answers/book/harvest-told.ts';
import { heightTold } from '../../answers/book/height-told.ts';
import type { Note, Observations } from '../../answers/book/note.ts';
import { lineToCome, noteLines } from '../../answers/book/words.ts';
import { usage } from '../../failure.ts';
import type { PhotoToKeep } from '../../files/photos.ts';
import { type ArchiveOptions, type ArchiveToRead, archiveToRead } from '../../jobs/archive.ts';
import { beganWords, beginStage } from '../../jobs/book/began.ts';
import { endingOffer } from '../../jobs/book/ending.ts';
import { massesFrom, measuredFrom, type WaysToWeigh } from '../../jobs/book/measured.ts';
import { moveBags, movesToWrite, type WaysToMove } from '../../jobs/book/move.ts';
import {
  bagsFor,
  batchNamed,
  cullReason,
  type OpenBook,
  withOpenBook,
  writingOf,
} from '../../jobs/book/open-book.ts';
import { writeWithPhoto } from '../../jobs/book/photo-note.ts';
import { staysWords, takeBackEntry } from '../../jobs/book/take-back.ts';
import { writtenBags } from '../../jobs/book/written-bags.ts';
import { dayOption } from '../../jobs/dates.ts';
import { FLASH_REMINDER, type PlanChange, writeChange } from '../../jobs/plan-change.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { answeredWords, answerInArchive, visitNamed } from '../../jobs/visits/answer.ts';
import { todayIn } from '../../jobs/visits/today.ts';
import { PHOTO_BYTES_MAX, PRESS_ACTS, type Press, type PressAct, type Pressed } from '../wire-book.ts';
import { linesOf } from './evening.ts';

/** A press as it is carried out. */
interface Pressing {
  readonly path: string;
  readonly plan: ResolvedPlan;
  readonly where: ArchiveToRead;
  readonly today: CivilDay;
  readonly press: Press;
}

/** Carries a press out; throws Failure. */
export async function press(path: string, given: Press, options: ArchiveOptions): Promise<Pressed> {
  const act = PRESS_ACTS.find((one) => one === given.act);
  if (!act) throw usage(`The desk knows no press '${given.act}'.`);
  const plan = readPlanFile(path);
  const where = await archiveToRead(path, options);
  const { day: today } = await todayIn(plan, where);
  return DOING[act]({ path, plan, where, today, press: given });
}

const DOING: Readonly<Record<PressAct, (pressing: Pressing) => Promise<Pressed>>> = {
  done: (pressing) => answer(pressing, 'done'),
  undo: (pressing) => answer(pressing, 'undone'),
  note: (pressing) => inBook(pressing, note),
  harvest: (pressing) => inBook(pressing, harvest),
  cull: (pressing) => inBook(pressing, cull),
  move: (pressing) => inBook(pressing, move),
  began: (pressing) => inBook(pressing, began),
  takeBack: (pressing) => inBook({ ...pressing, press: { ...pressing.press, day: '' } }, takeBack),
  end: (pressing) => inBook(pressing, endZones),
};

async function answer(
  { plan, where, today, press: { place, kind } }: Pressing,
  outcome: 'done' | 'undone',
): Promise<Pressed> {
  const named = visitNamed(plan, [place, kind]);
  const answered = await answerInArchive(plan, { named, outcome, today, why: undefined }, where);
  return { said: [answeredWords(answered, where.place)], changed: undefined, entry: '' };
}

/** Opens the book for the day that is named, else for today. */
function inBook(
  { path, plan, where, today, press: given }: Pressing,
  act: (book: OpenBook, given: Press) => Promise<Pressed>,
): Promise<Pressed> {
  const day = given.day === '' ? today : dayOption(given.day, 'the day as');
  return withOpenBook({ path, plan, where, day }, (book) => act(book, given));
}

/** What a text says; undefined where nothing was written. */
const written = (text: string): string | undefined => (text.trim() === '' ? undefined : text.trim());

const kept = (notes: readonly Note[], { plan }: OpenBook): string[] =>
  noteLines(notes, plan.units).map((line) => `Kept: ${line}`);

async function note(book: OpenBook, given: Press): Promise<Pressed> {
  const { units } = book.plan;
  const how = { height: inUnits('"12 cm"', units), lean: '"20 deg left"', mass: inUnits('"85 g"', units) };
  const [height, lean, mass] = [written(given.height), written(given.lean), written(given.mass)];
  const observed = { ...measuredFrom({ height, lean, mass }, units, how), text: written(given.text) };
  const photo = photoIn(given);
  if (!photo && Object.values(observed).every((value) => value === undefined)) {
    throw usage(
      'There is nothing to note.',
      'Write a height, a lean, a mass or some words, or take a photo.',
    );
  }
  const entry = await writeWithPhoto(book, noteOf(book, given.bags.trim(), observed), photo);
  const said = [...kept([entry], book), ...heightTold(book.plan, book.lives, entry)];
  return { said, changed: undefined, ...undoneBy([entry]) };
}

/** A note on a bag; on a batch by its name; on the whole rack where nothing is named. */
function noteOf(book: OpenBook, about: string, observed: Observations): Note {
  const whole = about === '' ? '' : batchNamed(book, about);
  if (whole !== undefined) return wholeEntry(writingOf(book), whole, observed);
  const [life, ...more] = bagsFor(book, writtenBags(book, about));
  if (!life || more.length > 0) throw usage('What was seen or measured is of one bag.', 'Choose one.');
  return noteEntry(writingOf(book), life, observed);
}

function photoIn({ photo, photoName }: Press): PhotoToKeep | undefined {
  if (photo === '') return undefined;
  const bytes = Buffer.from(photo, 'base64');
  if (bytes.length > PHOTO_BYTES_MAX) throw usage('A photo has at most 20 MB. Nothing was written.');
  return { file: photoName || 'The photo', bytes };
}

const WEIGHED: WaysToWeigh = {
  example: 'Write 85 g; several masses with commas.',
  count: (isTogether) =>
    isTogether
      ? 'Weighed together, give one mass for all.'
      : 'Give one mass a bag, with commas between; or one for all that were weighed together.',
};

async function harvest(book: OpenBook, given: Press): Promise<Pressed> {
  const { units } = book.plan;
  const lives = bagsFor(book, writtenBags(book, given.bags));
  const isTogether = given.together === 'yes';
  const masses = (field: string): number[] | undefined => {
    const text = written(field);
    return massesFrom(text === undefined ? undefined : [text], lives.length, isTogether, units, WEIGHED);
  };
  const [freshG, dryG] = [masses(given.fresh), masses(given.dry)];
  if (!freshG && !dryG) {
    throw usage(
      'No mass is given.',
      `Write ${inUnits('85 g', units)} fresh, or the dry mass once it is dry.`,
    );
  }
  const weighed = { freshG, dryG, isTogether, text: written(given.text) };
  const entries = harvestEntries(writingOf(book), lives, weighed);
  await book.write(entries);
  const remarks = harvestTold(book.plan, book.notes, entries, lives);
  const out = `${entries.length === 1 ? 'It is' : 'They are'} out; visits there count the bags that are left.`;
  const said = [...kept(entries, book), ...remarks, ...(freshG ? [out] : [])];
  return { said, changed: undefined, ...undoneBy(entries) };
}

async function cull(book: OpenBook, given: Press): Promise<Pressed> {
  const why = cullReason(written(given.why));
  const lives = bagsFor(book, writtenBags(book, given.bags));
  const entries = lives.map((life) => cullEntry(writingOf(book), life, why, written(given.text)));
  await book.write(entries);
  const { lines } = cullsTold(book.plan, book.notes, entries);
  return { said: [...kept(entries, book), ...lines], changed: undefined, ...undoneBy(entries) };
}

const BY_PRESSES: WaysToMove = {
  whereTo: 'Choose a zone or place, or a bag to change places with.',
  oneBag: 'Choose one bag, and the one to change places with.',
  notBoth: 'Choose one of the two.',
  swap: (bag = 'one of them') => `choose ${bag} to change places with`,
};

async function move(book: OpenBook, given: Press): Promise<Pressed> {
  const where = { to: written(given.to), swap: written(given.swap) };
  const { entries, remarks, change } = await moveBags(book, writtenBags(book, given.bags), where, BY_PRESSES);
  const words = 'So that the zone is lit for their stage, the plan was changed:';
  const said = [...kept(entries, book), ...remarks];
  return { said, ...changed(book, words, change), ...undoneBy(entries, where.swap !== undefined) };
}

/** What moving bags would write; nothing is written. */
export async function wouldMove(path: string, given: Press, options: ArchiveOptions): Promise<Pressed> {
  const plan = readPlanFile(path);
  const where = await archiveToRead(path, options);
  return withOpenBook({ path, plan, where, day: undefined }, async (book) => {
    const asked = { to: written(given.to), swap: written(given.swap) };
    const { entries, remarks, change } = movesToWrite(book, writtenBags(book, given.bags), asked, BY_PRESSES);
    const said = [...entries.map((entry) => lineToCome(entry, plan.units)), ...remarks];
    const words = 'So that the zone is lit for their stage, the plan changes too:';
    return { said, changed: change && linesOf(words, change), entry: '' };
  });
}

/** The entry that takes all back; none where several were written that do not go together. */
const undoneBy = (entries: readonly Note[], goTogether = false): Pick<Pressed, 'entry'> => ({
  entry: entries.length === 1 || goTogether ? (entries[0]?.id ?? '') : '',
});

async function began(book: OpenBook, given: Press): Promise<Pressed> {
  const begun = await beginStage(book, given.what, writtenBags(book, given.bags), undefined);
  const { entries, change, isAsPlanned } = begun;
  const bag = entries.find((one) => one.bag !== '');
  const goesOn = bag
    ? [`The light goes on as planned: to shift the whole batch, write it for ${bag.batch}.`]
    : [];
  const asPlanned = isAsPlanned ? [beganWords(book.path, begun).replace(/:$/, '.')] : [];
  const words = 'The stages that follow shift; the plan was changed:';
  const said = [...kept(entries, book), ...asPlanned, ...goesOn];
  return { said, ...changed(book, words, isAsPlanned ? undefined : change), ...undoneBy(entries) };
}

function changed(
  { path }: OpenBook,
  words: string,
  change: PlanChange | undefined,
): Pick<Pressed, 'changed'> {
  if (!change) return { changed: undefined };
  const { lines } = linesOf(words, change);
  return { changed: { words: `${words} ${FLASH_REMINDER(path)}`, lines } };
}

async function endZones(book: OpenBook): Promise<Pressed> {
  const offer = endingOffer(book, []);
  if (!offer) throw usage('No zone has lost its last bag.');
  writeChange(offer.change);
  return { said: [], ...changed(book, 'Written into the plan.', offer.change), entry: '' };
}

/** Takes an entry back, as of today, and what it wrote into the plan. */
async function takeBack(book: OpenBook, { id }: Press): Promise<Pressed> {
  const took = await takeBackEntry(book, id);
  const said = noteLines(took.gone, book.plan.units).map((line) => `Taken back: ${line}`);
  const left = staysWords(book.path, took);
  return {
    said: left === undefined ? said : [...said, left],
    ...changed(book, 'What it wrote into the plan goes too.', took.change),
    entry: '',
  };
}
