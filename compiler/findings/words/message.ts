/**
 * What a finding's words are made of, and the small tools to make them.
 */

import type { Fact } from '../finding.ts';

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

export type Facts = Readonly<Record<string, Fact>>;

/** Turns the facts of one code into words. */
export type Words = (facts: Facts) => Message;

/** A fact as text; empty when absent. */
export function text(fact: Fact): string {
  return fact === undefined ? '' : String(fact);
}

/** A fact as a number; 0 when absent. */
export function number(fact: Fact): number {
  return typeof fact === 'number' ? fact : Number(text(fact)) || 0;
}

/** A fact as a list. */
export function list(fact: Fact): readonly string[] {
  return Array.isArray(fact) ? fact : [];
}

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
export function entry(where: Fact): string {
  return text(where) === '' ? 'The plan' : `\`${text(where)}\``;
}
