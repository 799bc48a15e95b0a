/**
 * The grow book: what the grower measured, saw and took out, kept in the
 * archive.
 *
 * Always holds: a note is never changed or deleted; a wrong one is withdrawn by
 * another that names it, and both stay.
 */

import type { Note } from '../answers/book/note.ts';
import { usage } from '../failure.ts';
import { dayIn } from './days.ts';
import { ArchiveError } from './error.ts';
import type { Archive } from './open.ts';

/** Writes a note; `id` is unique (a UUID). */
export async function writeNote(archive: Archive, note: Note): Promise<void> {
  await archive.db
    .insertInto('notes')
    .values({
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
    })
    .execute();
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
  if (idStart.trim() === '') throw usage('No note is named.', 'Give its number, as `note PLAN` lists it.');
  const found = (await readNotes(archive, plan)).filter((note) => note.id.startsWith(idStart));
  const [note] = found;
  if (!note || found.length > 1) {
    const many = found.length > 1 ? `${found.length} notes begin` : 'No note begins';
    throw new ArchiveError('unreachable', `${many} with ${idStart}.`, 'List them with `note PLAN`.');
  }
  await archive.db
    .insertInto('notes')
    .values({
      ...{ id, plan, batch: note.batch, zone: note.zone, bag: note.bag, day: note.day },
      ...{ written_ms: nowMs, kind: 'withdraw', refers: note.id },
    })
    .execute();
  return note;
}

/** The notes of a plan that stand, in order of day and writing. */
export async function readNotes(archive: Archive, plan: string): Promise<Note[]> {
  const rows = await archive.db
    .selectFrom('notes')
    .selectAll()
    .where('plan', '=', plan)
    .orderBy('day')
    .orderBy('written_ms')
    .orderBy('id')
    .execute();
  const withdrawn = new Set(rows.map((row) => row.refers));
  return rows
    .filter((row) => row.kind !== 'withdraw' && !withdrawn.has(row.id))
    .map((row) => ({
      id: row.id,
      plan: row.plan,
      batch: row.batch,
      zone: row.zone,
      bag: row.bag,
      day: dayIn(archive, row.day),
      writtenMs: row.written_ms,
      kind: row.kind === 'cull' ? 'cull' : 'note',
      heightMm: row.height_mm ?? undefined,
      leanDeg: row.lean_deg ?? undefined,
      photo: row.photo ?? undefined,
      massG: row.mass_g ?? undefined,
      why: row.why ?? undefined,
      text: row.text ?? undefined,
    }));
}
