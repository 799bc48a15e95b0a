/**
 * Words joined into lists.
 */

/** `A`, `A and B`, `A, B and C`. */
export function list(words: readonly string[]): string {
  if (words.length < 2) return words[0] ?? 'none';
  return `${words.slice(0, -1).join(', ')} and ${words[words.length - 1]}`;
}

/** So many names are still read in a line; of more the first few and their number. */
export const READ_MAX = 12;
const FIRST = 3;

/** The list; of many words in stretches (`s1 to s25`), and where those are many too `A, D, F and 97 more`. */
export function shortList(words: readonly string[]): string {
  if (words.length <= READ_MAX) return list(words);
  const runs = stretches(words);
  if (runs.length <= READ_MAX) return list(runs);
  return `${words.slice(0, FIRST).join(', ')} and ${words.length - FIRST} more`;
}

/** Words in their order, with `least` or more that follow one another (`s3`, `s4` …; `A`, `B` …) as `s3 to s9`. */
export function stretches(words: readonly string[], least = 3): string[] {
  const runs: string[][] = [];
  for (const word of words) {
    const run = runs.at(-1);
    if (run !== undefined && follows(run.at(-1) ?? '', word)) run.push(word);
    else runs.push([word]);
  }
  return runs.flatMap((run) => (run.length < least ? run : [`${run[0]} to ${run.at(-1)}`]));
}

/** Whether a word is the one before with its last number, or its last letter, one higher. */
function follows(before: string, word: string): boolean {
  const [head = '', number = ''] = numbered(before);
  const [nextHead, next = ''] = numbered(word);
  if (number !== '' && next !== '')
    return head === nextHead && String(Number(number) + 1).padStart(number.length, '0') === next;
  const [code, nextCode] = [before.slice(-1), word.slice(-1)].map((letter) => letter.charCodeAt(0));
  const isLetter = /[a-z]$/i.test(before) && /[a-z]$/i.test(word);
  return isLetter && before.slice(0, -1) === word.slice(0, -1) && (code ?? 0) + 1 === nextCode;
}

/** `s12` in two, `s` and `12`; a word without a number at its end has none. */
const numbered = (word: string): [string?, string?] => {
  const [, head, number] = /^(.*?)(\d+)$/s.exec(word) ?? [];
  return [head, number];
};
