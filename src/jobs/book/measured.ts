/**
 * What a grower measured, as it was written down: heights, leans, masses.
 *
 * Always holds: a value without its unit, or that no bag can have, is refused
 * with a sentence in her units; `how` are the examples that are shown then.
 */

import { azimuthOf } from '../../../compiler/read/leaf.ts';
import { parseQuantity, unitsOf } from '../../../compiler/read/quantity.ts';
import { inUnits, type Units, unitsSpoken } from '../../../shared/measures.ts';
import type { Observations } from '../../answers/book/note.ts';
import { refused, usage } from '../../failure.ts';
import { list } from '../../words/lists.ts';
import { quantityOption } from '../dates.ts';

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

/** Grams, from masses with commas between: one a bag, or one for all that were weighed together. */
export function massesFrom(
  written: string | undefined,
  bags: number,
  isTogether: boolean,
  units: Units,
  how: WaysToWeigh,
): number[] | undefined {
  if (written === undefined) return undefined;
  const all = written.split(',').map((text) => {
    const read = parseQuantity(text.trim(), 'mass');
    if ('value' in read) return Math.round(read.value * 1e6) / 1000;
    const kinds = list(unitsSpoken(unitsOf('mass'), units));
    throw usage(`'${text.trim()}' needs a unit (${kinds}).`, inUnits(how.example, units));
  });
  if (all.length === (isTogether ? 1 : bags)) return all;
  throw usage(
    `${bags} ${bags === 1 ? 'bag' : 'bags'} and ${all.length} ${all.length === 1 ? 'mass' : 'masses'}.`,
    how.count(isTogether),
  );
}
