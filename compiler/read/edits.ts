/**
 * Small repairs to a text, with the way back: an offset in the repaired text
 * leads to the place in the text as the grower wrote it.
 */

/** Replaces `remove` characters at `at` by `text`. */
export interface Edit {
  readonly at: number;
  readonly remove: number;
  readonly text: string;
}

export interface Edited {
  readonly text: string;
  /** Offset in the original of an offset in the edited text. */
  readonly toOriginal: (offset: number) => number;
}

/** Applies edits; they must not overlap. */
export function applyEdits(original: string, edits: readonly Edit[]): Edited {
  if (edits.length === 0) return { text: original, toOriginal: (offset) => offset };
  const sorted = [...edits].sort((a, b) => a.at - b.at);
  const pieces: string[] = [];
  /** Where each edit's end lies in the new and in the old text. */
  const ends: { fresh: number; old: number }[] = [];
  let old = 0;
  let fresh = 0;
  for (const edit of sorted) {
    pieces.push(original.slice(old, edit.at), edit.text);
    fresh += edit.at - old + edit.text.length;
    old = edit.at + edit.remove;
    ends.push({ fresh, old });
  }
  pieces.push(original.slice(old));
  return { text: pieces.join(''), toOriginal: (offset) => originalOffset(ends, sorted, offset) };
}

function originalOffset(
  ends: readonly { fresh: number; old: number }[],
  edits: readonly Edit[],
  offset: number,
): number {
  let low = 0;
  let high = ends.length;
  while (low < high) {
    const mid = (low + high) >> 1;
    if ((ends[mid]?.fresh ?? 0) <= offset) low = mid + 1;
    else high = mid;
  }
  const before = ends[low - 1];
  const plain = before ? before.old + offset - before.fresh : offset;
  const next = edits[low];
  return next ? Math.min(plain, next.at + next.remove) : plain;
}
