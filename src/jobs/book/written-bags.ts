/** The bags that are written in one line. */

import { bagNamed } from '../../answers/bags/named.ts';
import { usage } from '../../failure.ts';
import { type BookOfDay, batchNamed } from './open-book.ts';

/**
 * Bags by their names or places, with commas or blanks between. A name may have blanks itself (`late fall-05`): of what
 * stands between two commas the longest name that the book knows is taken.
 */
export function writtenBags(book: BookOfDay, text: string): string[] {
  const isKnown = (words: string): boolean =>
    bagNamed(book.plan, book.lives, words, book.day).found !== 'nothing' ||
    batchNamed(book, words) !== undefined ||
    book.plan.zones.some(({ name }) => name === words);
  const found = text.split(',').flatMap((part) => namesIn(part.trim().split(/\s+/), isKnown));
  const named = found.filter(Boolean);
  if (named.length === 0) throw usage('No bag is named.', 'Choose one.');
  return named;
}

function namesIn(words: readonly string[], isKnown: (words: string) => boolean): string[] {
  const found: string[] = [];
  for (let at = 0; at < words.length; ) {
    const ends = words.map((_, n) => words.length - n).filter((end) => end > at);
    const end = ends.find((one) => isKnown(words.slice(at, one).join(' ')));
    // Of what is not known nobody can tell where it ends.
    if (end === undefined)
      return [...found, ...(found.length > 0 ? words.slice(at) : [words.slice(at).join(' ')])];
    found.push(words.slice(at, end).join(' '));
    at = end;
  }
  return found;
}
