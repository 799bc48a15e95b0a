/**
 * Which bag a word means: its name for life (`spring-07`), or the place where it
 * stands (`A-11`, and `A11` where that can be only one place).
 *
 * Always holds: a word that may mean two bags or two places means none; both
 * readings are told.
 */

import { type PlaceOnRack, placeName, placesNamed } from '../../../compiler/plan/place-names.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type BagLife, bagsStanding, lastPlace } from './lives.ts';

export type NamedBag =
  | { readonly found: 'bag'; readonly life: BagLife }
  /** Several readings, each in words: `A-11 (spring-11)`. */
  | { readonly found: 'several'; readonly readings: readonly string[] }
  /** A place where no bag ever stood. */
  | { readonly found: 'empty'; readonly place: string }
  | { readonly found: 'nothing' };

/** The bag that a word means on a day. */
export function bagNamed(plan: ResolvedPlan, lives: readonly BagLife[], word: string, day: number): NamedBag {
  const byName = livesNamed(plan, lives, word).map((life) => ({
    ...{ life, place: undefined, reading: `bag ${bagWords(life, day)}` },
  }));
  const byPlace = placesNamed(plan, word).map((place) => {
    const name = placeName(itemAt(plan.zones, place.zone).name, place.position);
    const life = bagAt(lives, place, day);
    return { life, place: name, reading: `place ${name} (${life?.name ?? 'no bag'})` };
  });
  const all = [...byName, ...byPlace];
  const [first] = all;
  if (!first) return { found: 'nothing' };
  const same = all.every(({ life }) => life !== undefined && life === first.life);
  if (all.length > 1 && !same) return { found: 'several', readings: all.map(({ reading }) => reading) };
  if (first.life) return { found: 'bag', life: first.life };
  return { found: 'empty', place: first.place ?? word };
}

/** Which bag was taken, and where it stands: `spring-07 (A-3)`. */
export function bagWords(life: BagLife, day: number): string {
  const place = lastPlace(life, day)?.place;
  return place === undefined ? life.name : `${life.name} (${place})`;
}

/** `spring-07`, also written `spring-7`. */
function livesNamed(plan: ResolvedPlan, lives: readonly BagLife[], word: string): BagLife[] {
  const [, batch, number] = /^(.+)-0*([1-9]\d*)$/.exec(word) ?? [];
  if (batch === undefined) return [];
  return lives.filter(
    (life) => itemAt(plan.batches, life.batch).name === batch && life.number === Number(number),
  );
}

/** The bag at a place on a day, else the last that stood there, else the first that is to. */
export function bagAt(
  lives: readonly BagLife[],
  { zone, position }: PlaceOnRack,
  day: number,
): BagLife | undefined {
  const standing = bagsStanding(lives, zone, day).find((life) => lastPlace(life, day)?.position === position);
  if (standing) return standing;
  const stood = lives.flatMap((life) =>
    life.stays
      .filter((stay) => stay.zone === zone && stay.position === position)
      .map((stay) => ({ life, stay })),
  );
  const before = stood.filter(({ stay }) => stay.from <= day).sort((a, b) => b.stay.from - a.stay.from);
  const after = stood.filter(({ stay }) => stay.from > day).sort((a, b) => a.stay.from - b.stay.from);
  return before[0]?.life ?? after[0]?.life;
}
