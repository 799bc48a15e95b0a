/**
 * What may be chosen about a light field besides the plan.
 *
 * Always holds: nothing here is needed; left out, lamps shine as drawn and films behave as usual.
 */

import type { FilmModel } from './film.ts';
import type { KnownLight } from './known.ts';

export interface FieldOptions {
  /** Texts of `.ies` files by the name the plan gives; lamps whose file is missing or bad shine as drawn. */
  readonly photometry?: Readonly<Record<string, string>> | undefined;
  /** How films are taken to behave where not as usual. */
  readonly film?: FilmModel | undefined;
  /** Light already traced for this plan or others much like it, with the same files. */
  readonly known?: KnownLight | undefined;
}
