/**
 * What a note is about, by the words that were typed.
 *
 * Always holds: words that begin with a bag are never taken for a note on the
 * whole rack or on its batch unless the grower says so.
 */

import { itemAt } from '../../../../shared/assert.ts';
import type { BagLife } from '../../../answers/bags/lives.ts';
import { bagNamed } from '../../../answers/bags/named.ts';
import { usage } from '../../../failure.ts';
import { type BookOfDay, bagsFor, batchNamed } from '../../../jobs/book/open-book.ts';

/** What a note is about: a bag, or a batch by its name, or the whole rack (''), and the words that are left. */
export type About = { readonly text: string } & ({ readonly life: BagLife } | { readonly batch: string });

/** `word` and `more` are the arguments as the shell gave them; `isRack`: `--rack` was given. Throws Failure. */
export function aboutOf(book: BookOfDay, word: string, more: readonly string[], isRack: boolean): About {
  const text = more.join(' ');
  // One argument with a blank in it is no name: it is what there is to say.
  const isSaid = more.length === 0 && /\s/.test(word);
  if (isRack) return isSaid ? ofRack(word) : rackOnly(book, word, more);
  if (isSaid) {
    const bag = bagFirst(book, word);
    if (bag === undefined) return ofRack(word);
    throw usage(
      `'${word}' begins with the bag ${bag}, but is in quotes as a whole.`,
      `Write the bag without the quotes: ${bag} "…"; or add --rack for a note on the whole rack.`,
    );
  }
  const batch = batchNamed(book, word);
  if (batch !== undefined) {
    const bag = namesBag(book, `${batch}-${more[0] ?? ''}`);
    if (bag === undefined) return { batch, text };
    throw usage(
      `'${batch} ${more[0] ?? ''}' may be the bag ${bag}.`,
      `Write ${bag} if it is; if the note is on the whole batch, put its words in quotes.`,
    );
  }
  const hint = 'For a note on the whole rack add --rack.';
  return { life: itemAt(bagsFor(book, [word], hint), 0), text };
}

const ofRack = (text: string): About => ({ batch: '', text });

function rackOnly(book: BookOfDay, word: string, more: readonly string[]): About {
  const bag = namesBag(book, word) ?? namesBag(book, `${word}-${more[0] ?? ''}`);
  if (bag === undefined) return ofRack([word, ...more].filter(Boolean).join(' '));
  throw usage(
    `The note cannot be on the bag ${bag} and, with --rack, on the whole rack.`,
    'Leave out the bag or --rack. Should the words only mention the bag, put them all in one pair of quotes.',
  );
}

/** The bag that words begin with, as it is to be written: `A-1 leaning`, `spring 03: leaning`. */
function bagFirst(book: BookOfDay, words: string): string | undefined {
  const [first = '', second = ''] = words
    .trim()
    .split(/\s+/)
    .map((one) => one.replace(/[,.:;]+$/, ''));
  return namesBag(book, first) ?? namesBag(book, `${first}-${second}`);
}

/** The word, where it names a bag, or one of several. */
function namesBag({ plan, lives, day }: BookOfDay, word: string): string | undefined {
  const { found } = bagNamed(plan, lives, word, day);
  return found === 'bag' || found === 'several' ? word : undefined;
}
