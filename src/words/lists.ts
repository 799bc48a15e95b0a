/**
 * Words joined into lists.
 */

/** `A`, `A and B`, `A, B and C`. */
export function list(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? 'none';
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** So many names are still read in a line; of more the first few and their number. */
const READ_MAX = 12;
const FIRST = 3;

/** The list; of many words `A, B, C and 97 more`. */
export function shortList(words: readonly string[]): string {
  if (words.length <= READ_MAX) return list(words);
  return `${words.slice(0, FIRST).join(', ')} and ${words.length - FIRST} more`;
}
