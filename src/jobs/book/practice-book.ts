/**
 * The grow book of a rack that was written before its first controller, a
 * virtual one, was flashed: it goes along into the archive of the practice.
 *
 * Always holds: only into an archive that is not there yet, from one that no
 * controller has told anything; both keep their entries from then on.
 */

import { existsSync } from 'node:fs';
import { readNotes, writeNotes } from '../../archive/notes.ts';
import { withArchive } from '../../archive/open.ts';
import { copyPhotos } from '../../files/photos.ts';
import { type ArchiveOptions, archiveOf, bookBeside, hasMetController } from '../archive.ts';
import { face } from '../face.ts';

/** Begins the archive of a virtual controller with the book that the plan has already. */
export async function beginPracticeBook(path: string, options: ArchiveOptions, nowMs: number): Promise<void> {
  const { place, name } = archiveOf(path, options);
  const before = bookBeside(path, place);
  if (before === undefined || existsSync(place) || (await hasMetController(before))) return;
  const notes = await withArchive(before, nowMs, (archive) => readNotes(archive, name));
  if (notes.length === 0) return;
  await withArchive(place, nowMs, (archive) => writeNotes(archive, notes));
  copyPhotos(
    { path, place: before },
    { path, place },
    notes.flatMap(({ photo }) => photo ?? []),
  );
  face.remark(
    `The ${notes.length === 1 ? 'entry' : `${notes.length} entries`} of the grow book went along into ${place}; ` +
      'new ones are kept there until a real controller is flashed.',
  );
}
