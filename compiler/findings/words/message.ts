/**
 * What a finding's words are made of, and the small tools to make them.
 */

import type { Units } from '../../../shared/measures.ts';
import type { Code } from '../codes.ts';
import type { FactsOf } from '../facts.ts';

/** The words of one finding. Backquotes mark what is written in a plan. */
export interface Message {
  /** A few words, without a full stop. */
  readonly title: string;
  /** What is wrong, in whole sentences. */
  readonly message: string;
  /** What to write instead, or what to do. */
  readonly suggestion?: string | undefined;
  /** What the second place is. */
  readonly second?: string | undefined;
}

/** Turns the facts of one code into words, with measures in the units of the plan. */
export type Words<C extends Code> = (facts: FactsOf[C], units: Units) => Message;

/** The words of every code. */
export type AllWords = { readonly [C in Code]: Words<C> };

/** `a`, `b` or `c`. */
export function either(words: readonly string[]): string {
  const quoted = words.map((word) => `\`${word}\``);
  if (quoted.length < 2) return quoted.join('');
  return `${quoted.slice(0, -1).join(', ')} or ${quoted.at(-1)}`;
}

/** At most `most` of them, and how many more there are. */
export function some(words: readonly string[], most = 8): string {
  const shown = words.slice(0, most).map((word) => `\`${word}\``);
  const more = words.length - shown.length;
  return more > 0 ? `${shown.join(', ')} and ${more} more` : shown.join(', ');
}

/** `1 bag`, `2 bags`. */
export function count(amount: number, one: string, many = `${one}s`): string {
  return `${amount} ${amount === 1 ? one : many}`;
}

/** The entry a finding is about, or the plan. */
export function entry(where: string): string {
  return where === '' ? 'The plan' : `\`${where}\``;
}
