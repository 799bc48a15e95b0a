/**
 * The grow book: what the grower measured, saw and took out, kept in the
 * archive.
 *
 * Always holds: a note is never changed or deleted; a wrong one is withdrawn by
 * another that names it, and both stay.
 */

import { isoDate } from '../../shared/civil.ts';
import { NOTE_KINDS, type Note, type NoteKind, type TakenBack } from '../answers/book/note.ts';
import { madeFrom, planDayBefore, sealedFrom } from '../answers/book/sealed.ts';
import { usage } from '../failure.ts';
import { dayIn } from './days.ts';
import { ArchiveError, damaged } from './error.ts';
import type { Archive } from './open.ts';
import type { NoteRow } from './schema.ts';

/** Writes entries, all or none of them; each `id` is unique (a UUID). */
export async function writeNotes(archive: Archive, notes: readonly Note[]): Promise<void> {
  if (notes.length === 0) return;
  await archive.db.transaction().execute(async (db) => {
    for (const note of notes) await db.insertInto('notes').values(rowOf(note)).execute();
  });
}

/** Writes one entry. */
export const writeNote = (archive: Archive, note: Note): Promise<void> => writeNotes(archive, [note]);

function rowOf(note: Note): NoteRow {
  const before = note.before === undefined ? undefined : { before: isoDate(note.before) };
  const body = note.sealed ?? note.made ?? before;
  return {
    id: note.id,
    plan: note.plan,
    batch: note.batch,
    zone: note.zone,
    bag: note.bag,
    day: note.day,
    written_ms: note.writtenMs,
    kind: note.kind,
    refers: null,
    height_mm: note.heightMm ?? null,
    lean_deg: note.leanDeg ?? null,
    photo: note.photo ?? null,
    mass_g: note.massG ?? null,
    why: note.why ?? null,
    text: note.text ?? null,
    number: note.number ?? null,
    position: note.position ?? null,
    lean_side_deg: note.leanSideDeg ?? null,
    dry_g: note.dryG ?? null,
    together: note.together ?? null,
    to_zone: note.to?.zone ?? null,
    to_position: note.to?.position ?? null,
    stage: note.stage ?? null,
    body: body === undefined ? null : JSON.stringify(body),
  };
}

/**
 * Takes back a note of a plan; `idStart` is its id or the beginning of it.
 * Returns the note. Throws ArchiveError when there is none, or several.
 */
export async function withdrawNote(
  archive: Archive,
  plan: string,
  idStart: string,
  id: string,
  nowMs: number,
): Promise<Note> {
  const note = noteNamed(await readNotes(archive, plan), idStart);
  await archive.db
    .insertInto('notes')
    .values({
      ...{ id, plan, batch: note.batch, zone: note.zone, bag: note.bag, day: note.day },
      ...{ written_ms: nowMs, kind: 'withdraw', refers: note.id },
      ...{ number: note.number ?? null, position: note.position ?? null },
    })
    .execute();
  return note;
}

/** The entry whose id begins so. Throws where there is none, or several. */
export function noteNamed(notes: readonly Note[], idStart: string): Note {
  if (idStart.trim() === '') throw usage('No note is named.', 'Give its number, as `note PLAN` lists it.');
  const [note, ...more] = notes.filter(({ id }) => id.startsWith(idStart));
  if (note && more.length === 0) return note;
  const many = note ? `${more.length + 1} notes begin` : 'No note begins';
  throw new ArchiveError('unreachable', `${many} with ${idStart}.`, 'List them with `note PLAN`.');
}

/** The notes of a plan that stand, in order of day and writing. */
export async function readNotes(archive: Archive, plan: string): Promise<Note[]> {
  const rows = await rowsOf(archive, plan);
  const withdrawn = new Set(rows.map((row) => row.refers));
  return rows
    .filter((row) => row.kind !== 'withdraw' && !withdrawn.has(row.id))
    .map((row) => noteOf(archive, row));
}

/** The notes of a plan that were taken back, and when, in the same order. */
export async function readTakenBack(archive: Archive, plan: string): Promise<TakenBack[]> {
  const rows = await rowsOf(archive, plan);
  const withdrawals = new Map(rows.map((row) => [row.refers, row.written_ms]));
  return rows.flatMap((row) => {
    const takenBackMs = withdrawals.get(row.id);
    return takenBackMs === undefined ? [] : [{ note: noteOf(archive, row), takenBackMs }];
  });
}

const rowsOf = (archive: Archive, plan: string): Promise<NoteRow[]> =>
  archive.db
    .selectFrom('notes')
    .selectAll()
    .where('plan', '=', plan)
    .orderBy('day')
    .orderBy('written_ms')
    .orderBy('number')
    .orderBy('id')
    .execute();

function noteOf(archive: Archive, row: NoteRow): Note {
  const kind = NOTE_KINDS.find((one) => one === row.kind) ?? 'note';
  return {
    id: row.id,
    plan: row.plan,
    batch: row.batch,
    zone: row.zone,
    bag: row.bag,
    day: dayIn(archive, row.day),
    writtenMs: row.written_ms,
    kind,
    heightMm: row.height_mm ?? undefined,
    leanDeg: row.lean_deg ?? undefined,
    photo: row.photo ?? undefined,
    massG: row.mass_g ?? undefined,
    why: row.why ?? undefined,
    text: row.text ?? undefined,
    number: row.number ?? undefined,
    position: row.position ?? undefined,
    leanSideDeg: row.lean_side_deg ?? undefined,
    dryG: row.dry_g ?? undefined,
    together: row.together ?? undefined,
    to: row.to_zone === null ? undefined : { zone: row.to_zone, position: row.to_position ?? 1 },
    stage: row.stage ?? undefined,
    ...bodyOf(archive, kind, row.body),
  };
}

/** Entries that may put another day into the plan, where it had one before. */
const CHANGES_PLAN: readonly NoteKind[] = ['began', 'harvest', 'cull', 'move'];

/** What an entry keeps as JSON. */
function bodyOf(
  archive: Archive,
  kind: NoteKind,
  body: string | null,
): Pick<Note, 'made' | 'sealed' | 'before'> {
  if (body === null) return {};
  let value: unknown;
  try {
    value = JSON.parse(body);
  } catch {
    throw damaged(archive.place);
  }
  const sealed = kind === 'sealed' ? sealedFrom(value) : undefined;
  const made = kind === 'made' ? madeFrom(value) : undefined;
  const before = CHANGES_PLAN.includes(kind) ? planDayBefore(value) : undefined;
  if (!sealed && !made && before === undefined) throw damaged(archive.place);
  return { sealed, made, before };
}
