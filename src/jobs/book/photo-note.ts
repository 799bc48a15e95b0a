/** An entry of the book with its photo. */

import type { Note } from '../../answers/book/note.ts';
import { noteAbout } from '../../answers/book/words.ts';
import { keepPhoto, type PhotoToKeep } from '../../files/photos.ts';
import type { OpenBook } from './open-book.ts';

/** Writes both or neither; gives the entry as it was written. */
export async function writeWithPhoto(
  book: OpenBook,
  entry: Note,
  photo: PhotoToKeep | undefined,
): Promise<Note> {
  const kept = photo && keepPhoto(book, photo, { ...entry, bag: noteAbout(entry) });
  const note: Note = { ...entry, photo: kept?.name };
  try {
    await book.write([note]);
  } catch (error) {
    kept?.remove();
    throw error;
  }
  return note;
}
