/**
 * Who is told and asked while some work runs: a terminal for a command, the
 * open pages for the desk. The work says what it says; it does not know where.
 *
 * Always holds: work that was begun for one face (`facing`) speaks to no other,
 * however long it takes; without any face nobody is told, and nobody can be asked.
 */

import { AsyncLocalStorage } from 'node:async_hooks';
import type { Pace } from '../link/pace.ts';

/** What work needs to be stopped from outside. */
export interface Halting {
  /** A pace whose waits end, and whose exchanges do not begin, once the work is to stop. */
  over(pace: Pace): Pace;
  /** The work has ended. */
  end(): void;
}

/** Somebody who follows the work. */
export interface Face {
  /** A line of the result. */
  readonly say: (text: string) => void;
  /** A remark beside the result. */
  readonly remark: (text: string) => void;
  /** The result for machines. */
  readonly sayJson: (value: unknown) => void;
  /** Shows how far something is, 0 to 1. */
  readonly progress: (title: string) => (part: number) => void;
  /** Whether someone is there to be asked. */
  readonly canAsk: () => boolean;
  /** Asks; the answer without blanks around it. */
  readonly ask: (question: string) => Promise<string>;
  /** Whether whoever read the results has gone. */
  readonly hasGone: () => boolean;
  /** Whether results, or remarks, are shown in colour. */
  readonly inColour: (of: 'say' | 'remark') => boolean;
  /** Hears from now on when the work is to stop; `atOnce` is done where even that is not waited for. */
  readonly halting: (atOnce: () => void) => Halting;
}

const NOBODY: Face = {
  say: () => undefined,
  remark: () => undefined,
  sayJson: () => undefined,
  progress: () => () => undefined,
  canAsk: () => false,
  ask: () => Promise.reject(new Error('nobody is there to be asked')),
  hasGone: () => false,
  inColour: () => false,
  halting: () => ({ over: (pace) => pace, end: () => undefined }),
};

const begun = new AsyncLocalStorage<Face>();
let usual = NOBODY;

/** The face of all work of this process that was begun for no other. */
export function faceAlways(face: Face): void {
  usual = face;
}

/** Runs work for a face. */
export function facing<T>(face: Face, work: () => Promise<T>): Promise<T> {
  return begun.run(face, work);
}

const present = (): Face => begun.getStore() ?? usual;

/** The face of the work under way. */
export const face: Face & { readonly askYes: (question: string) => Promise<boolean> } = {
  say: (text) => present().say(text),
  remark: (text) => present().remark(text),
  sayJson: (value) => present().sayJson(value),
  progress: (title) => present().progress(title),
  canAsk: () => present().canAsk(),
  ask: (question) => present().ask(question),
  /** Asks for yes or no. */
  askYes: async (question) => /^y(es)?$/i.test(await present().ask(`${question} [y/n] `)),
  hasGone: () => present().hasGone(),
  inColour: (of) => present().inColour(of),
  halting: (atOnce) => present().halting(atOnce),
};
