/**
 * From what the outputs show to what a zone gets: lit or dark, and from which
 * side.
 *
 * Always holds: works by the light field, not by the lamps' names; a zone is
 * lit when its bags get more than 5 lx on their brightest side.
 */

import type { LightField, ZoneField } from '../../compiler/light/field.ts';
import { FACES, VECTOR } from '../../compiler/light/gather.ts';
import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../shared/assert.ts';

/** `dark`, `upright` (no side outweighs its opposite by 2 : 1) or the side the pull comes from, degrees. */
export type Pull = 'dark' | 'upright' | number;

/** Dark is at most 5 lx (assumed), in hundredths. */
const DARK_MOST = 500;
const BALANCE_MOST = 2;

/** For each zone the index of its bag, or -1. */
type Occupancy = Parameters<LightField['zone']>[0];

/** Which bag stands in which zone on a civil day, -1 for none. */
export function occupancyOn(plan: ResolvedPlan, day: number): Occupancy {
  return plan.zones.map((_, zone) => {
    const batch = plan.batches.find((one) =>
      one.zones.some((stay) => stay.zone === zone && day >= stay.enters && day < stay.free),
    );
    return batch?.bag ?? -1;
  });
}

/** What a zone gets while the controllers' outputs show `levels` (one array of eight bytes a controller). */
export function pullOn(
  field: LightField,
  occupancy: Occupancy,
  zone: number,
  levels: readonly Uint8Array[],
): Pull {
  const zoneField = field.zone(occupancy, zone);
  if (!zoneField) return 'dark';
  const row = summedRow(field, zoneField, levels);
  if (!row) return 'dark';
  const faces = [...row.slice(FACES)];
  if (Math.max(...faces) <= DARK_MOST) return 'dark';
  if (greatestRatio(faces) <= BALANCE_MOST) return 'upright';
  const azimuth = (Math.atan2(itemAt(row, VECTOR), itemAt(row, VECTOR + 1)) * 180) / Math.PI;
  return (Math.round(azimuth) + 360) % 360;
}

/** Mean over the zone's bags of everything the lit outputs give, hundredths of a lux. */
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

/** The greatest ratio of a face to its opposite; faces stand two and two. */
function greatestRatio(faces: readonly number[]): number {
  let greatest = 1;
  for (let at = 0; at + 1 < faces.length; at += 2) {
    const [low, high] = [itemAt(faces, at), itemAt(faces, at + 1)].sort((a, b) => a - b);
    greatest = Math.max(greatest, sure(low) > 0 ? sure(high) / sure(low) : Number.POSITIVE_INFINITY);
  }
  return greatest;
}

const SIDES = ['back', 'back right', 'right', 'front right', 'front', 'front left', 'left', 'back left'];

/** The word for a pull. */
export function pullWord(pull: Pull): string {
  return typeof pull === 'number' ? itemAt(SIDES, Math.round(pull / 45) % 8) : pull;
}
