/**
 * What the compiler found, as facts. The words live in `words.ts`, one small
 * function a code; nothing here or in the checks is a sentence.
 */

import type { Code, Severity } from './codes.ts';
import type { FactsOf } from './facts.ts';

/** A stretch of the plan's text: offsets in UTF-16 units, half open. */
export interface Span {
  readonly start: number;
  readonly end: number;
}

/** No place in the text (a fact about the plan as a whole). */
export const NOWHERE: Span = { start: 0, end: 0 };

/** A finding of one code. */
export interface FindingOf<C extends Code> {
  /** Stable code, such as `zone-taken`. */
  readonly code: C;
  readonly severity: Severity;
  readonly span: Span;
  /** A second place that clashes with the first. */
  readonly second?: Span;
  /** What was found; each code has its own facts. */
  readonly facts: FactsOf[C];
}

/** Any finding; its code tells which facts it has. */
export type Finding = { [C in Code]: FindingOf<C> }[Code];
