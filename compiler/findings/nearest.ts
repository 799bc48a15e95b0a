/**
 * "Did you mean": the nearest known word to a misspelt one.
 */

import { itemAt } from '../../shared/assert.ts';

/** Damerau–Levenshtein distance (optimal string alignment): inserts, deletes, swaps of neighbours, changes. */
function distance(a: string, b: string): number {
  let before: number[] = [];
  let last = Array.from({ length: b.length + 1 }, (_, j) => j);
  for (let i = 1; i <= a.length; i++) {
    const row = [i];
    for (let j = 1; j <= b.length; j++) {
      const change = a[i - 1] === b[j - 1] ? 0 : 1;
      let best = Math.min(itemAt(last, j) + 1, itemAt(row, j - 1) + 1, itemAt(last, j - 1) + change);
      const swapped = i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1];
      if (swapped) best = Math.min(best, itemAt(before, j - 2) + 1);
      row.push(best);
    }
    before = last;
    last = row;
  }
  return itemAt(last, b.length);
}

/** Longest word worth comparing; anything longer is no slip of the hand. */
const LONGEST = 64;

/**
 * The known word nearest to `word`, if near enough to be a slip: a third of
 * its letters may differ at most, one always may but not all; or both begin
 * alike for half their length (`batch` for `batches`). Case does not count.
 */
export function closest(word: string, known: Iterable<string>): string | undefined {
  if (word.length > LONGEST) return undefined;
  const lower = word.toLowerCase();
  const limit = Math.min(Math.max(1, Math.floor(word.length / 3)), word.length - 1);
  let best: string | undefined;
  let bestDistance = limit + 1;
  let kin: string | undefined;
  for (const candidate of known) {
    if (candidate.length > LONGEST) continue;
    const other = candidate.toLowerCase();
    const d = distance(lower, other);
    if (d < bestDistance && d < Math.max(other.length, 2)) {
      best = candidate;
      bestDistance = d;
    }
    const shared = sharedStart(lower, other);
    if (kin === undefined && shared >= 3 && shared * 2 >= Math.max(lower.length, other.length))
      kin = candidate;
  }
  return best ?? kin;
}

function sharedStart(a: string, b: string): number {
  let length = 0;
  while (length < a.length && a[length] === b[length]) length += 1;
  return length;
}
