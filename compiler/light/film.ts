/**
 * What film does to light.
 *
 * Measured for low-density polyethylene at normal incidence: dry it passes 90 %, half of
 * it scattered, forward; with condensate 67 %, of which 22 % goes straight on, the rest
 * scattered forward and stronger. How broad the lobe is was not given. Assumed here:
 * scattered light keeps `FORWARD` of its direction (mean cosine), none of it turns back;
 * of what reaches the film from within, half of what it does not pass comes back inside
 * as even light (`RETURNS`), again and again.
 *
 * Always holds: light that crossed films is told by three shares that never grow:
 * `direct` (still falls as the lamp's own light), `kept` (its vector), `total`.
 */

import type { ResolvedBag } from '../plan/plan.ts';

/** What is left of the light after everything in its way. */
export interface Passed {
  /** Falls on a surface as the light of the lamp itself does. */
  direct: number;
  /** What is left of the illumination vector. */
  kept: number;
  /** What is left of the scalar illuminance. */
  total: number;
}

/** What is left at a point inside a bag: the same, and what its own film throws back inside, of the scalar. */
export interface Left extends Passed {
  readonly inner: number;
}

/** Nothing in the way. */
export const ALL: Left = { direct: 1, kept: 1, total: 1, inner: 0 };

/**
 * Mean cosine of the lobe of forward scattered light (assumed): that of a matt sheet lit from
 * behind, 2/3; 1 is no lobe at all, 0.5 as broad as can be without light turning back.
 */
export const FORWARD = { low: 0.5, mid: 2 / 3, high: 0.9 } as const;

/** Share of the light a film does not pass that it throws back where it came from (assumed; the rest it takes). */
export const RETURNS = { low: 0, mid: 0.5, high: 1 } as const;

/** How a film is taken to behave. */
export interface FilmModel {
  readonly forward: number;
  readonly returns: number;
}

export const USUAL_FILM: FilmModel = { forward: FORWARD.mid, returns: RETURNS.mid };

type Film = ResolvedBag['film'];

/**
 * What the bag's own film leaves, crossed once. Where the lobe's mean cosine g is above one
 * half, a share 2g − 1 of it falls as the light itself does and the rest as (1 + cos)/4;
 * below, it all falls as (1 + 2g·cos)/4, evenly from all sides where g is 0.
 */
export function ownFilm({ passes, scatters }: Film, { forward, returns }: FilmModel): Left {
  const narrow = Math.max(0, 2 * forward - 1);
  const back = (1 - passes) * returns;
  return {
    direct: passes * (1 - scatters + scatters * narrow),
    kept: passes * (1 - scatters + scatters * forward),
    total: passes,
    inner: (passes * back) / (1 - back),
  };
}

/** What another bag's headspace leaves: two films. */
export function otherFilm(film: Film, model: FilmModel): Passed {
  const { direct, kept, total } = ownFilm(film, model);
  return { direct: direct * direct, kept: kept * kept, total: total * total };
}

/** Lit face over opposite face behind a film with one far lamp square to the face: the most any lamp can give. */
export function filmContrast(film: Film, model: FilmModel = USUAL_FILM): number {
  const { direct, kept, total, inner } = ownFilm(film, model);
  const even = (total - direct + inner) / 4;
  const smooth = (kept - direct) / 2;
  const behind = even - smooth;
  return behind < 1e-9 ? Number.POSITIVE_INFINITY : (direct + even + smooth) / behind;
}
