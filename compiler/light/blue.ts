/**
 * What a lamp's colour does to bending: how much a lux of it counts beside a lux of white.
 *
 * Bending runs on blue and near ultraviolet; red alone does nothing (Phycomyces: Galland,
 * Eslava & Alvarez 1997; Pilobolus: Page & Curry 1966, action to about 530 nm). No action
 * spectrum is published for these fungi. Assumed here, with low evidence: every watt up to
 * `ACTION.full` counts wholly, from there on less, evenly down to nothing at `ACTION.none`;
 * white is taken as a glowing body of its colour temperature. A lamp with a spectrum of its
 * own counts by that (`bending.ts`).
 *
 * Always holds: white of `REFERENCE` counts as it is; the eye's response is the CIE standard
 * observer of 1924, every 10 nm (from memory), between which it changes by equal ratios.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LampColour } from '../plan/plan.ts';

/** Wavelengths, nm, up to which light bends with its full power and from which it does not (assumed). */
export const ACTION = { full: 450, none: 530 } as const;

/** Where the eye sees, nm: nothing of a spectrum counts beyond. */
export const SEEN = { from: 380, to: 780 } as const;

/** The white that lux are counted in where a lamp says no colour, K. */
export const REFERENCE = 4000;

/** Wavelengths of the words for colours, nm: usual for such diodes. */
export const COLOUR_WORDS = { blue: 455, green: 525, amber: 590, red: 660 } as const;

/** V(λ) from 380 nm on, every 10 nm. */
const EYE = [
  0.000039, 0.00012, 0.000396, 0.00121, 0.004, 0.0116, 0.023, 0.038, 0.06, 0.09098, 0.13902, 0.20802, 0.323,
  0.503, 0.71, 0.862, 0.954, 0.99495, 0.995, 0.952, 0.87, 0.757, 0.631, 0.503, 0.381, 0.265, 0.175, 0.107,
  0.061, 0.032, 0.017, 0.00821, 0.004102, 0.002091, 0.001047, 0.00052, 0.000249, 0.00012, 0.00006, 0.00003,
] as const;
const EYE_FROM = 380;
const EYE_STEP = 10;
/** Lumens of a watt at the eye's best. */
const LUMENS_PER_WATT = 683;

/** The eye's response at a wavelength. */
function eyeAt(nanometres: number): number {
  const place = (nanometres - EYE_FROM) / EYE_STEP;
  const below = Math.floor(place);
  if (below < 0 || below >= EYE.length - 1) return below === EYE.length - 1 ? itemAt(EYE, below) : 1e-6;
  const [a, b] = [itemAt(EYE, below), itemAt(EYE, below + 1)];
  return a * (b / a) ** (place - below);
}

/** Lumens of a watt of one wavelength. */
export const lumensPerWattAt = (nanometres: number): number => LUMENS_PER_WATT * eyeAt(nanometres);

/** The share of a watt that bends, were the action to end at `none` nm. */
export const actionAt = (nanometres: number, none: number = ACTION.none): number =>
  Math.max(0, Math.min(1, (none - nanometres) / (none - ACTION.full)));

/** Power of a glowing body by wavelength, in any unit (Planck; hc/k = 1.4388e7 nm K). */
export const planckAt = (nanometres: number, kelvin: number): number =>
  1 / (nanometres ** 5 * Math.expm1(1.438_777e7 / (nanometres * kelvin))) / 1e-14;

/** Bending watts to a lumen. */
function bendingPerLumen(colour: LampColour, none?: number): number {
  if (colour.kind === 'narrow') return actionAt(colour.nanometres, none) / lumensPerWattAt(colour.nanometres);
  let [bending, lumens] = [0, 0];
  for (let at: number = SEEN.from; at <= SEEN.to; at += 5) {
    // By trapezoids: the two ends count half.
    const part = at === SEEN.from || at === SEEN.to ? 0.5 : 1;
    const power = part * planckAt(at, colour.kelvin);
    bending += power * actionAt(at, none);
    lumens += power * lumensPerWattAt(at);
  }
  return bending / lumens;
}

/** Bending watts to a lumen of the white that lux are counted in. */
export const referenceBending = (none?: number): number =>
  bendingPerLumen({ kind: 'white', kelvin: REFERENCE }, none);

const reference = referenceBending();

/** What has been worked out, colour by colour. */
const known = new WeakMap<LampColour, number>();

/** How many lux of reference white bend as much as one lux of a lamp. */
export function bendingShare(colour: LampColour | undefined): number {
  if (colour === undefined) return 1;
  const share = known.get(colour) ?? bendingPerLumen(colour) / reference;
  known.set(colour, share);
  return share;
}

/** Below this a lamp bends nothing, however bright it looks. */
export const NO_PULL = 0.02;
