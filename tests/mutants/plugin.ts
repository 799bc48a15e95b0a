/**
 * Gives Vitest one source with a fault in it; the file itself stays. Which one
 * stands in LEANWARD_MUTANT at the moment that the source is asked for, so that
 * one Vitest can try fault after fault (`runner.ts`).
 */

import type { Mutant } from './mutants.ts';

export interface Faulty extends Mutant {
  /** Absolute path of the source. */
  readonly file: string;
}

/** The plugin for Vite; undefined unless LEANWARD_MUTANT is set (empty: no fault yet). */
export function mutantPlugin(): object | undefined {
  if (process.env.LEANWARD_MUTANT === undefined) return undefined;
  return {
    name: 'mutant',
    enforce: 'pre',
    transform: (code: string, id: string) => {
      const wanted = process.env.LEANWARD_MUTANT ?? '';
      if (wanted === '') return undefined;
      const { file, start, end, by }: Faulty = JSON.parse(wanted);
      return id.split('?')[0] === file
        ? { code: code.slice(0, start) + by + code.slice(end), map: null }
        : undefined;
    },
  };
}
