/** Gives Vitest one source with a fault in it (LEANWARD_MUTANT, as `main.ts` sets it); the file itself stays. */

import type { Mutant } from './mutants.ts';

export interface Faulty extends Mutant {
  /** Absolute path of the source. */
  readonly file: string;
}

/** The plugin for Vite; undefined when no fault is wanted. */
export function mutantPlugin(): object | undefined {
  const wanted = process.env.LEANWARD_MUTANT;
  if (wanted === undefined) return undefined;
  const { file, start, end, by }: Faulty = JSON.parse(wanted);
  return {
    name: 'mutant',
    enforce: 'pre',
    transform: (code: string, id: string) =>
      id.split('?')[0] === file
        ? { code: code.slice(0, start) + by + code.slice(end), map: null }
        : undefined,
  };
}
