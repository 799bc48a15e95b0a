/**
 * Words joined into lists.
 */

/** `A`, `A and B`, `A, B and C`. */
export function list(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? 'none';
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}
