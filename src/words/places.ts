/**
 * Places in words: neighbours as a stretch, so that a shelf of bags is a line.
 */

import { list } from './lists.ts';

/** So many names are still read; more are said in stretches. */
export const NAMES_MAX = 4;

/** `A-1 and A-2`; of many, stretches: `A-1 to A-25 and A-27`. Names are zone and position, in their order. */
export function placeWords(places: readonly string[]): string {
  return places.length <= NAMES_MAX ? list(places) : list(stretches(places));
}

function stretches(places: readonly string[]): string[] {
  const found: { zone: string; from: number; to: number }[] = [];
  for (const place of places) {
    const dash = place.lastIndexOf('-');
    const [zone, position] = [place.slice(0, dash), Number(place.slice(dash + 1))];
    const last = found.at(-1);
    if (last?.zone === zone && last.to + 1 === position) last.to = position;
    else found.push({ zone, from: position, to: position });
  }
  return found.map(({ zone, from, to }) =>
    from === to ? `${zone}-${from}` : `${zone}-${from} to ${zone}-${to}`,
  );
}
