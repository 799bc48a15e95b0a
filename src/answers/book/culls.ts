/**
 * What follows when a bag goes out: it leaves visits, sheet and light; the bags
 * near one that was culled get a closer look; the last one out ends its batch there.
 *
 * Always holds: a bag counts for the batch it was sealed in, so the next batch
 * in the same place starts with all its bags.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type BagLife, bagsStanding, lastPlace, placeOn } from '../bags/lives.ts';

/** Bags whose centres lie closer than this to a culled one get the closer look, mm (assumed). */
const NEAR_MM = 600;
const LOOK_EVERY_DAYS = 2;
const LOOK_FOR_DAYS = 10;

/** A closer look at one bag near a culled one. */
export interface CloserLook {
  readonly life: BagLife;
  /** Index into the plan's zones. */
  readonly zone: number;
  readonly place: string;
  /** The bag that was culled: its name and place. */
  readonly near: string;
  readonly why: string;
  /** Days after the cull: 2, 4 … 10. */
  readonly days: readonly CivilDay[];
}

/** Every closer look that the culls ask for. */
export function closerLooks(plan: ResolvedPlan, lives: readonly BagLife[]): CloserLook[] {
  return lives.flatMap((life) => closerLooksNear(plan, lives, life));
}

/** The closer looks at the bags near one, where it was culled. */
export function closerLooksNear(
  plan: ResolvedPlan,
  lives: readonly BagLife[],
  culled: BagLife,
): CloserLook[] {
  const { out } = culled;
  const stood = out?.kind === 'cull' ? lastPlace(culled, out.day) : undefined;
  const centre = stood && plan.zones[stood.zone]?.places[stood.position - 1];
  if (!out || !stood || !centre) return [];
  const { shelf } = itemAt(plan.zones, stood.zone);
  const days = Array.from({ length: LOOK_FOR_DAYS / LOOK_EVERY_DAYS }, (_, i) =>
    civilDay(out.day + LOOK_EVERY_DAYS * (i + 1)),
  );
  return plan.zones.flatMap((zone, index) => {
    if (zone.shelf !== shelf) return [];
    return bagsStanding(lives, index, out.day).flatMap((life) => {
      const stay = placeOn(life, out.day);
      const at = stay && zone.places[stay.position - 1];
      if (!at || Math.hypot(at.x - centre.x, at.y - centre.y) > NEAR_MM) return [];
      const near = `${culled.name} (${stood.place})`;
      return [{ life, zone: index, place: stay.place, near, why: out.why ?? 'cull', days }];
    });
  });
}

/**
 * The plan with only the places where a bag stands on a day, for its light
 * figures. A zone with no bag left keeps its places: its light no longer
 * matters, and `endings` says so.
 */
export function withoutBags(plan: ResolvedPlan, lives: readonly BagLife[], day: CivilDay): ResolvedPlan {
  const taken = new Map<number, Set<number>>();
  for (const life of lives) {
    const stay = placeOn(life, day);
    if (stay) taken.set(stay.zone, (taken.get(stay.zone) ?? new Set()).add(stay.position));
  }
  const zones = plan.zones.map((zone, index) => {
    const left = taken.get(index);
    return left ? { ...zone, places: zone.places.filter((_, i) => left.has(i + 1)) } : zone;
  });
  return { ...plan, zones };
}

/** A zone of a batch that has no bag left, though the plan says that it goes on. */
export interface Ending {
  readonly batch: string;
  readonly zone: string;
  /** The day on which the last bag went out. */
  readonly day: CivilDay;
  /** None of the batch's zones has a bag left. */
  readonly isWhole: boolean;
}

/** The zones in which the last bag of a batch went out by `today`, and that the plan still lights. */
export function endings(plan: ResolvedPlan, lives: readonly BagLife[], today: CivilDay): Ending[] {
  return plan.batches.flatMap((batch, index) => {
    const mine = lives.filter((life) => life.batch === index);
    const emptied = batch.zones.map((stay) => {
      const stood = mine.flatMap(({ stays }) => stays.filter(({ zone }) => zone === stay.zone));
      const last = Math.max(...stood.map(({ until }) => until));
      const isEmpty = stood.length > 0 && last <= today && bagsStanding(lives, stay.zone, today).length === 0;
      return isEmpty && last < stay.free ? civilDay(last) : undefined;
    });
    const isWhole = batch.zones.every((stay, i) => emptied[i] !== undefined || stay.free <= today);
    return batch.zones.flatMap((stay, i) => {
      const day = emptied[i];
      return day === undefined
        ? []
        : [{ batch: batch.name, zone: itemAt(plan.zones, stay.zone).name, day, isWhole }];
    });
  });
}
