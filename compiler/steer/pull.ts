/**
 * From what the outputs show to what a zone gets: lit or dark, and from which
 * side. The limits are those the outputs are chosen by.
 *
 * Always holds: works by the light field, not by the lamps' names; a zone is
 * dark when its bags get at most 5 lx on their brightest side, upright when no
 * side outweighs its opposite by more than 2 : 1.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LightField, ZoneField } from '../light/field.ts';
import { FACES, VECTOR } from '../light/row.ts';
import type { Occupancy } from '../light/trace.ts';
import { BALANCE_MOST, DARK_MOST, imbalance, leastLit } from '../solve/score.ts';

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

/** What a zone gets while the controllers' outputs show `levels` (one array of eight bytes a controller). */
export function pullOn(
  field: LightField,
  occupancy: Occupancy,
  zone: number,
  levels: readonly Uint8Array[],
): Pull {
  const zoneField = field.zone(occupancy, zone);
  const row = zoneField && summedRow(field, zoneField, levels);
  if (!row) return 'dark';
  if (Math.max(...row.subarray(FACES)) <= DARK_MOST) return 'dark';
  if (imbalance(row, 0) <= BALANCE_MOST) return 'upright';
  const azimuth = (Math.atan2(itemAt(row, VECTOR), itemAt(row, VECTOR + 1)) * 180) / Math.PI;
  return (Math.round(azimuth) + 360) % 360;
}

/** Mean over the zone's bags of everything the lit outputs give, hundredths of a lux; undefined when all is off. */
function summedRow(
  field: LightField,
  zone: ZoneField,
  levels: readonly Uint8Array[],
): Float64Array | undefined {
  let sum: Float64Array | undefined;
  for (const index of zone.reach) {
    const { controller, number } = itemAt(field.outputs, index);
    const share = (levels[controller]?.[number - 1] ?? 0) / 255;
    const means = zone.outputs[index]?.means;
    if (share === 0 || !means) continue;
    sum ??= new Float64Array(itemAt(means, 0).length);
    for (const mean of means)
      for (let i = 0; i < sum.length; i++) sum[i] = itemAt(sum, i) + (share * itemAt(mean, i)) / means.length;
  }
  return sum;
}
