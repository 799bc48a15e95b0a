/**
 * From what the outputs show, and what light comes anyway, to what a zone gets: lit or
 * dark, and from which side. The limits are those the outputs are chosen by.
 *
 * Always holds: works by the light field, not by the lamps' names; a zone is
 * dark when no bag gets more than 5 lx on a surface turned to the brightest side (the level
 * that `light` prints), upright when no side outweighs its opposite by more than 2 : 1.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { LightField, ZoneField } from '../light/field.ts';
import { VECTOR } from '../light/row.ts';
import type { Occupancy } from '../light/trace.ts';
import { FULL } from '../solve/patterns.ts';
import { BALANCE_MOST, DARK_MOST, imbalance, leastLit } from '../solve/score.ts';
import { zoneFigures } from './figures.ts';

/** Scores count in hundredths. */
const HUNDREDTHS = 100;

/** What counts as dark at most, lx (assumed). */
export const DARK_LUX = DARK_MOST / HUNDREDTHS;
/** Most one face of an upright zone may get over the opposite one. */
export const BALANCE_RATIO = BALANCE_MOST / HUNDREDTHS;

/** The level from which a zone counts as lit, lx, for a band that begins at `low` lx. */
export const litFromLux = (low: number): number => leastLit(low * HUNDREDTHS) / HUNDREDTHS;

/** `dark`, `upright` or the side the pull comes from, whole degrees. */
export type Pull = 'dark' | 'upright' | number;

/**
 * What a zone gets while the controllers' outputs show `levels` (one array of eight bytes a
 * controller) and the plan's background entries `background` are on.
 */
export function pullOn(
  field: LightField,
  occupancy: Occupancy,
  zone: number,
  levels: readonly Uint8Array[],
  background: readonly number[],
): Pull {
  const zoneField = field.zone(occupancy, zone);
  if (!zoneField) return 'dark';
  const burning = zoneField.reach.flatMap((index): [number, number][] => {
    const { controller, number } = itemAt(field.outputs, index);
    const level = (itemAt(itemAt(levels, controller), number - 1) * FULL) / 255;
    return level > 0 ? [[index, level]] : [];
  });
  if (burning.length + background.length === 0) return 'dark';
  const { level } = zoneFigures(zoneField, { kind: 'dark' }, [{ minutes: 1, levels: burning }], background);
  if (level.high <= DARK_LUX) return 'dark';
  const row = summedRow(zoneField, burning, background);
  if (imbalance(row, 0) <= BALANCE_MOST) return 'upright';
  const azimuth = (Math.atan2(itemAt(row, VECTOR), itemAt(row, VECTOR + 1)) * 180) / Math.PI;
  return (Math.round(azimuth) + 360) % 360;
}

/** Mean over the zone's bags of everything that burns or shines anyway. */
function summedRow(
  { outputs, background, columns, bags }: ZoneField,
  burning: readonly (readonly [output: number, level: number])[],
  on: readonly number[],
): Float64Array {
  const sum = new Float64Array(columns);
  const add = (means: readonly Int32Array[], share: number): void => {
    for (const mean of means)
      for (let i = 0; i < columns; i++) sum[i] = itemAt(sum, i) + (share * itemAt(mean, i)) / bags;
  };
  for (const [output, level] of burning) add(sure(outputs[output]).means, level / FULL);
  for (const entry of on) add(itemAt(background, entry).means, 1);
  return sum;
}
