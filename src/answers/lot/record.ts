/**
 * The whole record of a batch of a lot, in parts that somebody else can audit:
 * how it was made, what was planned, what the logs prove, what the book says.
 *
 * Always holds: every figure is one that was entered, logged or planned, and says
 * which; what nobody knows is said to be unknown; nothing of it is a claim.
 */

import { standsOn } from '../../../compiler/plan/on-a-day.ts';
import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate, utcFromUnixMs } from '../../../shared/civil.ts';
import { harvestWords, type Units } from '../../../shared/measures.ts';
import { VISIT_KINDS } from '../../../shared/table.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { bandWords, timeWords } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import { type BagLife, bagLives } from '../bags/lives.ts';
import { cullCounts, cullLines } from '../book/cull-counts.ts';
import type { Note, TakenBack } from '../book/note.ts';
import { type BookPhoto, photosOf } from '../book/photos.ts';
import { begunWord, noteAbout, noteWords } from '../book/words.ts';
import { sheetPart } from '../prep/kept.ts';
import { dayAt } from '../review/incidents.ts';
import { lotBatch, lotRows } from '../review/lot.ts';
import type { Review, ReviewedDay } from '../review/review.ts';
import { roomByStage, stageRoomWords } from '../review/room-by-stage.ts';
import { hours, luxWords, sumDays, unknownWords } from '../review/verdict.ts';
import { incidentLines, type Naming } from '../review/words.ts';

/** A part of the record: a table with its head, and lines under it. */
export interface RecordPart {
  readonly heading: string;
  /** Empty: the rows are what and how. */
  readonly head: readonly string[];
  readonly rows: readonly (readonly string[])[];
  readonly lines: readonly string[];
}

export interface LotRecord {
  readonly batch: string;
  readonly parts: readonly RecordPart[];
  /** Photos by bag and date, with their names in the photo folder. */
  readonly photos: readonly BookPhoto[];
}

/** The record of a batch. */
export function lotRecord(
  plan: ResolvedPlan,
  review: Review,
  batch: ResolvedBatch,
  naming: Naming,
  takenBack: readonly TakenBack[],
): LotRecord {
  const index = plan.batches.indexOf(batch);
  const all = bagLives(plan, review.notes);
  const lives = all.filter((life) => life.batch === index);
  const notes = review.notes.filter((note) => isOfRecord(batch, note));
  const days = review.days.filter((day) => day.batch === index);
  const { units } = plan;
  const parts: RecordPart[] = [
    part('Summary', [], lotRows(lotBatch(plan, review, batch), units)),
    making(plan, batch, review.notes),
    stages(plan, batch, notes),
    light(plan, batch, days),
    happened(plan, review, batch, naming),
    room(plan, review, days),
    visits(review, batch),
    bags(lives, units),
    part('Lost', [], [], cullLines(cullCounts(plan, lives))),
    book(
      notes,
      takenBack.filter(({ note }) => isOfRecord(batch, note)),
      naming,
      units,
    ),
  ];
  return { batch: batch.name, parts, photos: photosOf(notes) };
}

/** An entry of the batch or its bags, or of the whole rack while the batch stood there. */
function isOfRecord({ name, sealed, zones }: ResolvedBatch, note: Note): boolean {
  if (note.batch !== '') return note.batch === name;
  return note.day >= sealed && note.day < Math.max(...zones.map(({ free }) => free));
}

function part(
  heading: string,
  head: readonly string[],
  rows: readonly (readonly string[])[],
  lines: readonly string[] = [],
): RecordPart {
  return { heading, head, rows, lines };
}

/** The sheet as it was kept, and the steps. */
function making(plan: ResolvedPlan, batch: ResolvedBatch, notes: readonly Note[]): RecordPart {
  const { words, steps, kept } = sheetPart(plan, batch, notes, plan.units, 0);
  const [head = ['', '', ''], ...rows] = words.rows;
  const told =
    steps.length > 0 ? steps : ['How it was mixed, sterilised, cooled and inoculated was not written down.'];
  const since = kept ?? 'From the plan as it is now: the book has no entry from which the sheet was kept.';
  return part('Mix and making', head, rows, [words.heading, ...told, since]);
}

/** Stages as the plan has them now (`began` and `ended` included), and what was seen of the batch. */
function stages(plan: ResolvedPlan, batch: ResolvedBatch, notes: readonly Note[]): RecordPart {
  const rows = batch.zones.flatMap((stay) =>
    stay.stages.map(({ name, from, days }) => [
      itemAt(plan.zones, stay.zone).name,
      stay.regime,
      name,
      isoDate(civilDay(Math.max(from, stay.enters))),
      isoDate(civilDay(from + days - 1)),
    ]),
  );
  const seen = notes.filter(({ kind, bag }) => kind === 'began' && bag === '');
  const lines = seen.map(
    ({ day, stage = '' }) => `${isoDate(day)}  ${begunWord(stage)}: ${day - batch.sealed} days after sealing`,
  );
  return part('Stages', ['zone', 'regime', 'stage', 'from', 'to'], rows, lines);
}

/** Light by zone, and how far its days are proved. */
function light(plan: ResolvedPlan, batch: ResolvedBatch, days: readonly ReviewedDay[]): RecordPart {
  const rows = batch.zones.map((stay) => {
    const mine = days.filter((day) => day.zone === stay.zone);
    if (mine.length === 0) return [itemAt(plan.zones, stay.zone).name, 'not read', 'unknown', '', '', ''];
    const totals = sumDays(mine);
    const { planned, delivered } = totals;
    const proved = mine.filter(({ standing }) => standing === 'proved').length;
    return [
      itemAt(plan.zones, stay.zone).name,
      hours(planned),
      hours(delivered),
      unknownWords(totals),
      luxWords(totals),
      `${proved} of ${mine.length}`,
    ];
  });
  const head = [
    'zone',
    'planned',
    'delivered',
    'unknown',
    'at the growth',
    "days the controller's checksum proves",
  ];
  return part('Light', head, rows);
}

/** Everything that was not planned, on the controllers of its zones and in its days. */
function happened(plan: ResolvedPlan, review: Review, batch: ResolvedBatch, naming: Naming): RecordPart {
  const names = new Set(
    batch.zones.map(({ zone }) => itemAt(plan.controllers, controllerOfZone(plan, zone)).name),
  );
  const mine = review.incidents.filter((one) => {
    if (!names.has(one.controller)) return false;
    const day = dayAt(naming.offsets, one.at);
    const zone = one.kind === 'visit' ? one.zone : undefined;
    return batch.zones.some(
      (stay) => standsOn(stay, day) && (zone === undefined || itemAt(plan.zones, stay.zone).name === zone),
    );
  });
  const lines = incidentLines(mine, naming).map(({ words }) => words);
  const read = review.controllers.filter(({ name }) => names.has(name));
  const boards = read.map(({ name, identities, readUntil }) => {
    const board = identities.length === 0 ? 'no board' : `board ${list(identities.map(String))}`;
    return readUntil === undefined
      ? `${name} (${board}): no log was read; nothing is known of it.`
      : `${name} (${board}): log read to ${timeWords(utcSeconds(Math.round(readUntil)), naming.offsets)}.`;
  });
  const known = read.some(({ readUntil }) => readUntil !== undefined);
  const none = known ? ['Nothing that was not planned.'] : [];
  return part(
    'Outages, clock, faults and missed visits',
    [],
    [],
    [...boards, ...(lines.length > 0 ? lines : none)],
  );
}

/** The room by weeks of the batch. */
function room(plan: ResolvedPlan, review: Review, days: readonly ReviewedDay[]): RecordPart {
  const { units } = plan;
  const mine = new Set<number>(days.map(({ day }) => day));
  const rooms = review.room.filter(({ day }) => mine.has(day)).sort((a, b) => a.day - b.day);
  const first = rooms[0]?.day;
  if (first === undefined) return part('Room', [], [], ['No probe told of it.']);
  const weeks = [...new Set(rooms.map(({ day }) => Math.floor((day - first) / 7)))];
  const rows = weeks.map((week) => {
    const own = rooms.filter(({ day }) => Math.floor((day - first) / 7) === week);
    const mean = own.reduce((sum, one) => sum + one.mean, 0) / own.length;
    return [
      isoDate(civilDay(first + 7 * week)),
      bandWords(Math.min(...own.map(({ min }) => min)), Math.max(...own.map(({ max }) => max)), units),
      bandWords(mean, mean, units),
      hours(own.reduce((sum, one) => sum + one.outsideMinutes, 0) / 60),
    ];
  });
  const lines = roomByStage(plan, review, days).map(
    (one) => `${itemAt(plan.zones, one.zone).name}: ${stageRoomWords(one, units)}`,
  );
  return part('Room', ['week of', 'least and most', 'mean', 'outside its band'], rows, lines);
}

/** Visits of its zones by kind and by what became of them, as far as log and corrections tell. */
function visits(review: Review, batch: ResolvedBatch): RecordPart {
  const mine = [...review.outcomes.values()].filter((one) =>
    batch.zones.some((stay) => stay.zone === one.zone && standsOn(stay, one.dueDay)),
  );
  const rows = VISIT_KINDS.flatMap((kind) => {
    const own = mine.filter((one) => one.kind === kind);
    if (own.length === 0) return [];
    const count = (answer: string): string => String(own.filter((one) => one.answer === answer).length);
    const corrected = String(own.filter((one) => one.corrected).length);
    return [[kind, count('done'), count('seen'), count('late'), count('missed'), corrected]];
  });
  const none = rows.length === 0 ? ['No visit was answered or missed, as far as is known.'] : [];
  return part('Visits', ['kind', 'done', 'seen', 'late', 'missed', 'of these told by hand'], rows, none);
}

/** A bag in words: where it stood, what was seen, how it went out, what it gave. */
export interface BagRow {
  readonly name: string;
  readonly stood: string;
  readonly seen: string;
  readonly out: string;
  readonly fresh: string;
  readonly dry: string;
}

/** The row of a bag. */
export function bagRow({ name, stays, began, out, harvest }: BagLife, units: Units): BagRow {
  const shared = harvest && harvest.together > 1 ? ` (share of ${harvest.together})` : '';
  const gone = out?.kind === 'cull' ? `culled (${out.why ?? 'other'})` : 'harvested';
  return {
    name,
    stood:
      stays.map(({ place, from }) => `${place} from ${isoDate(from)}`).join('; ') || 'no place in the plan',
    seen: began.map(({ what, day }) => `${begunWord(what)} ${isoDate(day)}`).join('; '),
    out: out ? `${gone} ${isoDate(out.day)}` : 'in',
    fresh: harvest ? `${harvestWords(harvest.freshG, units)}${shared}` : '',
    dry: harvest?.dryG === undefined ? '' : harvestWords(harvest.dryG, units),
  };
}

/** Every bag: where it stood and how it went out. */
function bags(lives: readonly BagLife[], units: Units): RecordPart {
  const rows = lives.map((life) => {
    const { name, stood, seen, out, fresh, dry } = bagRow(life, units);
    return [name, stood, seen, out, fresh, dry];
  });
  return part('Bags', ['bag', 'stood in', 'seen', 'out', 'fresh', 'dry'], rows);
}

/** The book, entry by entry, with when each was written and its number; what was taken back stays, marked. */
function book(
  notes: readonly Note[],
  takenBack: readonly TakenBack[],
  { offsets }: Naming,
  units: Units,
): RecordPart {
  const when = (ms: number): string => timeWords(utcFromUnixMs(ms), offsets);
  const all = [...notes.map((note) => ({ note, takenBackMs: undefined })), ...takenBack];
  const rows = all
    .sort((a, b) => a.note.day - b.note.day || a.note.writtenMs - b.note.writtenMs)
    .map(({ note, takenBackMs }) => [
      isoDate(note.day),
      noteAbout(note),
      takenBackMs === undefined
        ? noteWords(note, units)
        : `taken back on ${when(takenBackMs)}: ${noteWords(note, units)}`,
      when(note.writtenMs),
      note.id.slice(0, 8),
    ]);
  return part(
    'The book',
    ['about', 'bag', 'entry', 'written', 'number'],
    rows,
    rows.length === 0 ? ['It has no entry.'] : [],
  );
}
