/**
 * Names of the places where bags stand: zone and position, `A-11`.
 *
 * Always holds: no two places of a plan share a name, for a position is digits
 * only and the last dash parts it from its zone. The older form without a dash
 * (`A11`) may be two places where there are zones A and A1.
 */

import type { ResolvedPlan } from './plan.ts';

/** A place: a zone (index into the plan's zones) and a position in it, 1 the first. */
export interface PlaceOnRack {
  readonly zone: number;
  readonly position: number;
}

/** `A-11`. */
export const placeName = (zone: string, position: number): string => `${zone}-${position}`;

/** The places of a plan that a word may name: one, none, or several where it is written without a dash. */
export function placesNamed({ zones }: Pick<ResolvedPlan, 'zones'>, word: string): PlaceOnRack[] {
  const read = zones.flatMap(({ name, places }, zone) => {
    const position = word.startsWith(name) ? digits(word.slice(name.length)) : undefined;
    const isThere = position !== undefined && position >= 1 && position <= places.length;
    return isThere ? [{ zone, position, isWhole: placeName(name, position) === word }] : [];
  });
  const whole = read.filter(({ isWhole }) => isWhole);
  return (whole.length > 0 ? whole : read).map(({ zone, position }) => ({ zone, position }));
}

/** The number after an optional dash; undefined where it is none, or begins with a nought. */
function digits(text: string): number | undefined {
  const found = /^-?([1-9]\d*)$/.exec(text)?.[1];
  return found === undefined ? undefined : Number(found);
}
