/**
 * How much a lux of each lamp bends beside a lux of white, by its colour in words or by its
 * spectrum, and how far that may lie from it.
 *
 * Always holds: the action is that of `blue.ts`; a lamp whose spectrum is missing or bad
 * counts as white (a finding tells).
 */

import { itemAt } from '../../shared/assert.ts';
import type { LampColour, ResolvedLamp } from '../plan/plan.ts';
import { ACTION, actionAt, bendingShare, lumensPerWattAt, NO_PULL, referenceBending, SEEN } from './blue.ts';
import { type FieldOptions, lampFileText } from './options.ts';
import { readSpectrum, type Spectrum } from './spectrum.ts';

/** From and to, as factors. */
type Ends = readonly [low: number, high: number];

export interface Bending {
  /** How many lux of reference white bend as much as one lux of the lamp. */
  readonly share: number;
  /** By what factor that may be less or more. */
  readonly range: Ends;
}

/** Where the action may end, nm (assumed). */
const NONE_ENDS = [500, 560] as const;
/** What a lux of a lamp with a colour in words bends, if the action ends there (own, for whites and blues). */
const COLOURED: Ends = [0.8, 1.2];
/**
 * What a word leaves open of a spectrum (own): a white diode has less violet than a glowing body, and
 * bends about half (spectra made up of a blue peak and a phosphor); a blue one may peak 5 nm beside.
 */
const WORDS: Readonly<Record<LampColour['kind'], Ends>> = { white: [0.5, 1], narrow: [0.75, 1.35] };
/** What a spectrum was measured to (assumed, as for what else the plan says). */
const MEASURED: Ends = [0.95, 1.05];
const SURE: Ends = [1, 1];

const times = (a: Ends, b: Ends): Ends => [a[0] * b[0], a[1] * b[1]];

/** The bending of every lamp, in their order. */
export function bendingOfLamps(lamps: readonly ResolvedLamp[], options: FieldOptions): Bending[] {
  const byFile = new Map<string, Bending | undefined>();
  const ofFile = (name: string): Bending | undefined => {
    const text = lampFileText(options, name);
    if (!byFile.has(name)) byFile.set(name, text === undefined ? undefined : bendingOfText(text));
    return byFile.get(name);
  };
  return lamps.map(({ colour, spectrum }) => {
    const measured = spectrum === undefined ? undefined : ofFile(spectrum);
    if (measured !== undefined) return measured;
    const share = bendingShare(colour);
    return {
      share,
      range: colour === undefined || share < NO_PULL ? SURE : times(COLOURED, WORDS[colour.kind]),
    };
  });
}

function bendingOfText(text: string): Bending | undefined {
  const { spectrum } = readSpectrum(text);
  return spectrum && spectrumBending(spectrum);
}

/** What a spectrum bends; its range is what the end of the action leaves open, and how well it was measured. */
export function spectrumBending(spectrum: Spectrum): Bending {
  const steps = stepsOf(spectrum);
  const lumens = sum(steps, lumensPerWattAt);
  const shareTo = (none: number): number =>
    sum(steps, (at) => actionAt(at, none)) / lumens / referenceBending(none);
  const share = shareTo(ACTION.none);
  // What bends next to nothing counts as dark, wherever the action ends.
  const others = share < NO_PULL ? [] : NONE_ENDS.map((none) => shareTo(none) / share);
  return { share, range: times(MEASURED, [Math.min(1, ...others), Math.max(1, ...others)]) };
}

/** A wavelength, nm, and the power about it. */
type Step = readonly [nanometres: number, power: number];

/** A spectrum by its own points and every nanometre, each with its part by trapezoids, of its greatest power. */
function stepsOf(spectrum: Spectrum): Step[] {
  const [from, to] = [
    Math.max(SEEN.from, itemAt(spectrum, 0)[0]),
    Math.min(SEEN.to, itemAt(spectrum, spectrum.length - 1)[0]),
  ];
  const places = new Set([from, to]);
  for (const [at] of spectrum) if (at > from && at < to) places.add(at);
  for (let at = Math.ceil(from); at < to; at++) places.add(at);
  const sorted = [...places].sort((a, b) => a - b);
  const most = spectrum.reduce((greatest, [, power]) => Math.max(greatest, power), 0);
  let above = 1;
  return sorted.map((at, n) => {
    while (above < spectrum.length - 1 && itemAt(spectrum, above)[0] < at) above++;
    const [[a, low], [b, high]] = [itemAt(spectrum, above - 1), itemAt(spectrum, above)];
    const power = low / most + ((high / most - low / most) * (at - a)) / (b - a);
    return [at, (power * ((sorted[n + 1] ?? at) - (sorted[n - 1] ?? at))) / 2];
  });
}

const sum = (steps: readonly Step[], weigh: (nanometres: number) => number): number =>
  steps.reduce((whole, [at, power]) => whole + power * weigh(at), 0);

/** The widest of some ranges. */
export const widest = (ranges: readonly Ends[]): Ends => [
  Math.min(1, ...ranges.map(([low]) => low)),
  Math.max(1, ...ranges.map(([, high]) => high)),
];
