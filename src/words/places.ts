/**
 * Places in words: neighbours as a stretch, so that a shelf of bags is a line.
 */

import { list, stretches } from './lists.ts';

/** So many names are still read; more are said in stretches. */
export const NAMES_MAX = 4;

/** `A-1 and A-2`; of many, stretches: `A-1 to A-25 and A-27`. Names are zone and position, in their order. */
export function placeWords(places: readonly string[]): string {
  return places.length <= NAMES_MAX ? list(places) : list(stretches(places, 2));
}
