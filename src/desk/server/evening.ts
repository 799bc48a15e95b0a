/**
 * The evening of a plan: what `visits` says of today and the coming days, the
 * bags with their history, where the controllers stand.
 *
 * Always holds: the archive is only looked into; nothing is made by looking.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { inUnits } from '../../../shared/measures.ts';
import { type BagLife, bagLives, placeOn } from '../../answers/bags/lives.ts';
import { SIGNS } from '../../answers/book/began-entries.ts';
import { CULL_REASONS, type Note } from '../../answers/book/note.ts';
import { noteWords } from '../../answers/book/words.ts';
import { bagRow } from '../../answers/lot/record.ts';
import { cautionsFor, comingLines, dateWords, itemWords, notKeptWords } from '../../answers/visits/text.ts';
import type { WorkItem } from '../../answers/visits/work.ts';
import { type ArchiveOptions, archiveToRead, isArchiveThere, placeShown } from '../../jobs/archive.ts';
import { endingOffer } from '../../jobs/book/ending.ts';
import type { PlanChange } from '../../jobs/plan-change.ts';
import { changedLines } from '../../jobs/plan-change.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { standingLines } from '../../jobs/standing.ts';
import { todayIn } from '../../jobs/visits/today.ts';
import { workOf } from '../../jobs/visits/work.ts';
import type { BookEntry, Evening, EveningBag, EveningBatch, EveningVisit, PlanLines } from '../wire-book.ts';

/** How far is looked ahead, as `visits` does, days. */
const DAYS = 14;

/** What is written where a measure is asked for. */
const EXAMPLES = { height: '12 cm', lean: '20 deg left', mass: '85 g' };

/** The evening of the plan in the file `path`. */
export async function eveningOf(path: string, options: ArchiveOptions): Promise<Evening> {
  const plan = readPlanFile(path);
  const where = await archiveToRead(path, options);
  const { day: today, isPractice } = await todayIn(plan, where);
  const { items, gone, known } = await workOf(path, plan, where, today, DAYS);
  const lives = bagLives(plan, known.notes);
  const { units } = plan;
  const offer = endingOffer({ plan, notes: known.notes, day: today, path }, []);
  return {
    ...{ today: isoDate(today), todayWords: dateWords(today), isPractice },
    ...{ archive: placeShown(where.place), isArchiveThere: isArchiveThere(where.place) },
    visits: items.filter(({ day }) => day === today).map(visitShown),
    cautions: items.length > 0 ? cautionsFor(items) : [],
    days: DAYS,
    coming: comingLines(items, today),
    notKept: gone.length > 0 ? notKeptWords(gone) : undefined,
    standing: standingLines(known.standings, path, today),
    batches: plan.batches.map((_, index) => batchShown(plan, index, lives, known.notes, today)),
    rackEntries: known.notes.filter(({ batch }) => batch === '').map((note) => entryShown(plan, note)),
    zones: plan.zones.map(({ name }) => name),
    reasons: CULL_REASONS,
    examples: {
      height: inUnits(EXAMPLES.height, units),
      lean: EXAMPLES.lean,
      mass: inUnits(EXAMPLES.mass, units),
    },
    mayEnd: offer && linesOf(offer.words, offer.change),
  };
}

/** How a plan changes, line by line. */
export function linesOf(words: string, change: PlanChange): PlanLines {
  return { words, lines: changedLines(change) };
}

function visitShown(item: WorkItem): EveningVisit {
  return {
    words: itemWords(item),
    lookFor: item.lookFor,
    place: item.zone === '' ? item.batch : item.zone,
    kind: item.kind,
    isDone: item.answer !== undefined && item.answer !== 'missed',
    isOverdue: item.overdue !== undefined,
  };
}

function batchShown(
  plan: ResolvedPlan,
  index: number,
  lives: readonly BagLife[],
  notes: readonly Note[],
  today: number,
): EveningBatch {
  const { name, zones } = itemAt(plan.batches, index);
  const mine = notes.filter(({ batch, bag, kind }) => batch === name && bag === '' && kind !== 'sealed');
  const stages = zones.flatMap((stay) => stay.stages.map((stage) => stage.name));
  return {
    name,
    bags: lives.filter(({ batch }) => batch === index).map((life) => bagShown(plan, life, today)),
    entries: mine.map((note) => entryShown(plan, note)),
    begins: [...new Set([...Object.keys(SIGNS), ...stages])].filter((one) => one !== 'keep'),
  };
}

function bagShown(plan: ResolvedPlan, life: BagLife, today: number): EveningBag {
  return {
    ...bagRow(life, plan.units),
    place: placeOn(life, today)?.place,
    entries: life.notes.map((note) => entryShown(plan, note)),
  };
}

function entryShown({ units }: ResolvedPlan, note: Note): BookEntry {
  return { id: note.id, day: isoDate(note.day), words: noteWords(note, units), photo: note.photo };
}
