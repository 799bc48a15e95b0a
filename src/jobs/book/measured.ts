/**
 * What a grower measured, as it was written down: heights, leans, masses.
 *
 * Always holds: a value without its unit, or that no bag can have, is refused
 * with a sentence in her units; `how` are the examples that are shown then.
 */

import { azimuthOf } from '../../../compiler/read/leaf.ts';
import { parseQuantity, unitOf } from '../../../compiler/read/quantity.ts';
import { inUnits, type Units } from '../../../shared/measures.ts';
import type { Observations } from '../../answers/book/note.ts';
import { refused, usage } from '../../failure.ts';
import { quantityOption, refuseComma, unreadWords } from '../dates.ts';

/** What was written of one bag. */
export interface WrittenMeasures {
  readonly height?: string | undefined;
  readonly lean?: string | undefined;
  readonly mass?: string | undefined;
}

/** How each is written where it is asked for, such as `--height "12 cm"`. */
export type WaysToWrite = Readonly<Record<keyof WrittenMeasures, string>>;

/** What was measured, in base units. */
export function measuredFrom(
  { height, lean, mass }: WrittenMeasures,
  units: Units,
  how: WaysToWrite,
): Pick<Observations, 'heightMm' | 'leanDeg' | 'leanSideDeg' | 'massG'> {
  return {
    heightMm: within(quantityOption(height, 'length', how.height, units), MOST_MM, how.height, units),
    ...leanFrom(lean, units, how.lean),
    massG: grams(within(quantityOption(mass, 'mass', how.mass, units), MOST_KG, how.mass, units)),
  };
}

/** `20 deg`, `20 deg left`, `20° to the left`. */
function leanFrom(
  asked: string | undefined,
  units: Units,
  example: string,
): Pick<Observations, 'leanDeg' | 'leanSideDeg'> {
  if (asked === undefined) return {};
  const [, angle = asked, side] = /^(.*?\S)\s+(?:to(?:ward)?\s+)?(?:the\s+)?([a-z]{4,})$/i.exec(asked) ?? [];
  const azimuth = side === undefined || side === 'degrees' ? undefined : azimuthOf(side.toLowerCase());
  if (side !== undefined && side !== 'degrees' && azimuth === undefined)
    throw usage(`'${side}' is no side.`, `Write left, right, front or back: ${example}.`);
  const words = side === 'degrees' ? asked : angle;
  return {
    leanDeg: within(quantityOption(words, 'angle', example, units), 180, example, units),
    leanSideDeg: azimuth,
  };
}

/** Beyond these a unit was mistaken: no bag is so tall, nor its growth so heavy. */
const MOST_MM = 2000;
const MOST_KG = 20;

/** A measure that a bag can have; a slip of the pen must not reach the estimate. */
function within(value: number | undefined, most: number, example: string, units: Units): number | undefined {
  if (value === undefined || (value >= 0 && value <= most)) return value;
  throw refused('That value is out of range.', `Write ${inUnits(example, units)}.`);
}

function grams(kilograms: number | undefined): number | undefined {
  return kilograms === undefined ? undefined : Math.round(kilograms * 1e6) / 1000;
}

/** What is said of masses that cannot be read: an example, and how several or one for all are given. */
export interface WaysToWeigh {
  readonly example: string;
  readonly count: (isTogether: boolean) => string;
}

/** Grams, from masses: one a bag, as words of their own or with commas between; or one for all that were weighed together. */
export function massesFrom(
  written: readonly string[] | undefined,
  bags: number,
  isTogether: boolean,
  units: Units,
  how: WaysToWeigh,
): number[] | undefined {
  if (written === undefined) return undefined;
  const count = isTogether ? 1 : bags;
  const all = massTexts(written, count).map((text) => {
    const read = parseQuantity(text, 'mass');
    if ('value' in read) return Math.round(read.value * 1e6) / 1000;
    refuseComma(written.join(' '), 'mass');
    throw usage(unreadWords(text, 'mass', units), inUnits(how.example, units));
  });
  if (all.length === count) return all;
  throw usage(
    `${bags} ${bags === 1 ? 'bag' : 'bags'} and ${all.length} ${all.length === 1 ? 'mass' : 'masses'}.`,
    how.count(isTogether),
  );
}

/** The masses of a text one by one. `85 g` may come as two words, and `1 lb 2 oz` is one mass. */
function massTexts(written: readonly string[], count: number): readonly string[] {
  const text = written.join(' ');
  const byComma = text.split(',').map((one) => one.trim());
  const isMass = (one: string): boolean => 'value' in parseQuantity(one, 'mass');
  const ways = [byComma, written, ofOneUnit(text)].filter((way) => way.length > 0 && way.every(isMass));
  return ways.find(({ length }) => length === count) ?? ways[0] ?? byComma;
}

/** `9 oz 11.3 oz 8 oz`: masses of one unit one after the other; none where the units differ. */
function ofOneUnit(text: string): readonly string[] {
  const parts = text.match(/\d[\d.]*\s*[^\s\d.,]+/g) ?? [];
  const units = new Set(parts.map((part) => unitOf(part, 'mass')));
  return units.size === 1 && parts.join('').replace(/\s/g, '') === text.replace(/[\s]/g, '') ? parts : [];
}
