/**
 * The light that a lamp gives: as written, whole, per length or per watt; else, where
 * only its watts are known, assumed by its colour.
 *
 * Always holds: what is assumed is told as assumed, with low confidence.
 */

import { type Millimetres, millimetres } from '../../shared/units.ts';
import { lumensPerWattAt } from '../light/blue.ts';
import type { LampColour, LampShape } from '../plan/plan.ts';
import { parseQuantity } from '../read/quantity.ts';
import type { MapNode } from '../read/tree.ts';
import type { Context, NamedEntry } from './context.ts';

/** Lumens of a watt of common white LED strips with their driver, 70 to 130 (assumed; from memory). */
const WHITE_LUMENS_PER_WATT = 100;
/** Share of its watts that a coloured diode with its driver gives as light (assumed; from memory). */
const COLOURED_SHARE = 0.4;

interface Written {
  readonly entry: NamedEntry;
  /** Where a key is written: the lamp, else its fixture. */
  readonly from: (key: string) => MapNode | undefined;
  /** Its fixture could not be read: nothing is missing then. */
  readonly isBroken: boolean;
  readonly shape: LampShape | undefined;
  /** Watts, where known. */
  readonly power: number | undefined;
  readonly colour: LampColour | undefined;
  /** Name of its spectrum's file: what it gives of a watt cannot be told by its colour then. */
  readonly spectrum: string | undefined;
}

/** The lumens of a lamp; undefined where they cannot be told (reported). */
export function lampFlux(context: Context, written: Written): number | undefined {
  const { entry, from, isBroken, shape, power, colour, spectrum } = written;
  const { name, map, keySpan } = entry;
  const where = `lamps.${name}`;
  if (!context.has(from('flux'), 'flux')) {
    if (power !== undefined && spectrum === undefined) return assumedFlux(context, where, power, colour);
    const isBare =
      isBroken || map.entries.size === 0 || (context.has(from('power'), 'power') && spectrum === undefined);
    if (!isBare) context.report('key-missing', keySpan, { key: 'flux', where, example: '350 lm' });
    return undefined;
  }
  const text = context.text(from('flux'), 'flux');
  const perWatt = text === undefined ? undefined : parseQuantity(text, 'efficacy');
  if (perWatt !== undefined && 'value' in perWatt) {
    if (power !== undefined) return perWatt.value * power;
    if (!context.has(from('power'), 'power'))
      context.report('key-missing', keySpan, { key: 'power', where, example: '4 W' });
    return undefined;
  }
  return shape && fluxOf(text, shape);
}

function assumedFlux(context: Context, where: string, power: number, colour: LampColour | undefined): number {
  const perWatt =
    colour?.kind === 'narrow' ? COLOURED_SHARE * lumensPerWattAt(colour.nanometres) : WHITE_LUMENS_PER_WATT;
  const kind = colour?.kind === 'narrow' ? `of ${colour.nanometres} nm` : 'white';
  const value = `${Math.round(power * perWatt)} lm (${Number(perWatt.toPrecision(2))} lm/W)`;
  context.assume(`${where}.flux`, value, 'low', `usual of LEDs, ${kind}; better read off the package`);
  return power * perWatt;
}

function fluxOf(text: string | undefined, shape: LampShape): number | undefined {
  if (text === undefined) return undefined;
  const perMetre = parseQuantity(text, 'fluxPerLength');
  if ('value' in perMetre) return (perMetre.value * longestSide(shape)) / 1000;
  const whole = parseQuantity(text, 'flux');
  return 'value' in whole ? whole.value : undefined;
}

/** The length a flux per metre is counted along; a spot has none and counts as a metre. */
function longestSide(shape: LampShape): Millimetres {
  if (shape.kind === 'panel') return millimetres(Math.max(...shape.size));
  if (shape.kind === 'spot') return millimetres(1000);
  const [a, b] = [shape.from, shape.to];
  return millimetres(Math.hypot(a[0] - b[0], a[1] - b[1], a[2] - b[2]));
}
