/** The grow book of a plan as commands ask for it: empty where no archive was made yet. */

import { existsSync } from 'node:fs';
import type { Note } from '../../answers/book/note.ts';
import { readNotes } from '../../archive/notes.ts';
import { lookInArchive } from '../../archive/open.ts';
import { type ArchiveOptions, type ArchiveToRead, archiveToRead } from '../archive.ts';

/** The notes of a plan that stand; looking makes no archive. */
export async function notesOf(planPath: string, options: ArchiveOptions): Promise<Note[]> {
  return notesIn(await archiveToRead(planPath, options), options);
}

/** The notes that stand in an archive; one that is named must be there. */
export async function notesIn({ place, name }: ArchiveToRead, options: ArchiveOptions): Promise<Note[]> {
  if (options.archive === undefined && !existsSync(place)) return [];
  return lookInArchive(place, Date.now(), (archive) => readNotes(archive, name));
}
