/**
 * What may be chosen about a light field besides the plan.
 *
 * Always holds: nothing here is needed; left out, lamps shine as drawn and films behave as usual.
 */

import type { ResolvedLamp } from '../plan/plan.ts';
import type { FilmModel } from './film.ts';
import type { KnownLight } from './known.ts';

export interface FieldOptions {
  /** Texts of the files that lamps name, photometric and spectra, by the name the plan gives; lamps whose file is missing or bad shine as drawn, and white. */
  readonly photometry?: Readonly<Record<string, string>> | undefined;
  /** How films are taken to behave where not as usual. */
  readonly film?: FilmModel | undefined;
  /** Light already traced for this plan or others much like it, with the same files. */
  readonly known?: KnownLight | undefined;
}

/** The text of a file that a lamp names; undefined where it names none or there is none. */
export function lampFileText({ photometry }: FieldOptions, name: string | undefined): string | undefined {
  if (name === undefined || photometry === undefined || !Object.hasOwn(photometry, name)) return undefined;
  return photometry[name];
}

/** The names of the files that lamps name, each once. */
export const lampFileNames = (lamps: readonly ResolvedLamp[]): string[] => [
  ...new Set(lamps.flatMap(({ photometry, spectrum }) => [photometry ?? [], spectrum ?? []].flat())),
];
