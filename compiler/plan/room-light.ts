/**
 * When light that comes anyway is on.
 */

import { weekday } from '../../shared/civil.ts';
import { civilDay, type UtcSeconds } from '../../shared/units.ts';
import type { ResolvedPlan } from './plan.ts';
import { firstInstant, type UtcOffsets } from './utc-offsets.ts';

/** A background entry (index into the plan's) and when it is on. */
export interface RoomLight {
  readonly entry: number;
  readonly from: UtcSeconds;
  readonly until: UtcSeconds;
}

/** What is on in the hours of a civil day, in the order of the plan. */
export function roomLightOn(plan: ResolvedPlan, offsets: UtcOffsets, day: number): RoomLight[] {
  return plan.background.flatMap(({ hours: [begin, end], on }, entry): RoomLight[] => {
    if (!on.includes(weekday(civilDay(day)))) return [];
    return [{ entry, from: firstInstant(offsets, day, begin), until: firstInstant(offsets, day, end) }];
  });
}
