/** What a grower does after a remark on entries that were just made: nothing, or take them back. */

import { itemAt } from '../../../shared/assert.ts';
import type { Note } from './note.ts';

/** The entries that the remark is on, at least one. */
export function wayOn(entries: readonly Pick<Note, 'id'>[]): string {
  const isOne = entries.length === 1;
  const takeBack = isOne
    ? `take it back (note PLAN --withdraw ${itemAt(entries, 0).id.slice(0, 8)})`
    : 'take them back (note PLAN --withdraw ID, each by the number behind its line)';
  return `If that is right, leave it. If not, ${takeBack} and enter ${isOne ? 'it' : 'them'} again.`;
}
