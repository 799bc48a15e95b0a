/**
 * What follows when a bag is taken out: it leaves visits, sheet and light; the
 * bags near it get a closer look; the last one out ends the batch there.
 *
 * Always holds: a cull counts for the batch it was written for, so the next
 * batch in the same place starts with all its bags.
 */

import { batchOn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import type { Note } from './note.ts';

/** Bags whose centres lie closer than this to a culled one get the closer look, mm (assumed). */
const NEAR_MM = 600;
const LOOK_EVERY_DAYS = 2;
const LOOK_FOR_DAYS = 10;

/** A closer look at one bag near a culled one. */
export interface CloserLook {
  readonly zone: number;
  readonly bag: string;
  readonly near: string;
  readonly why: string;
  /** Days after the cull: 2, 4 … 10. */
  readonly days: readonly CivilDay[];
}

/** Bags taken out of a batch up to and including `day` (all: leave it out). */
export function bagsOut(notes: readonly Note[], batch: string, day?: CivilDay): ReadonlySet<string> {
  const culls = notes.filter((note) => note.kind === 'cull' && note.batch === batch);
  return new Set(culls.filter((cull) => day === undefined || cull.day <= day).map((cull) => cull.bag));
}

/** Every closer look that the culls ask for. */
export function closerLooks(plan: ResolvedPlan, notes: readonly Note[]): CloserLook[] {
  return notes.filter((note) => note.kind === 'cull').flatMap((cull) => looksAround(plan, notes, cull));
}

function looksAround(plan: ResolvedPlan, notes: readonly Note[], cull: Note): CloserLook[] {
  const home = plan.zones.find((zone) => zone.name === cull.zone);
  const centre = home?.places.find((place) => place.name === cull.bag);
  if (!home || !centre) return [];
  const days = Array.from({ length: LOOK_FOR_DAYS / LOOK_EVERY_DAYS }, (_, i) =>
    civilDay(cull.day + LOOK_EVERY_DAYS * (i + 1)),
  );
  return plan.zones.flatMap((zone, index) => {
    if (zone.shelf !== home.shelf) return [];
    const batch = batchOn(plan, index, cull.day);
    const out = batch === undefined ? new Set() : bagsOut(notes, itemAt(plan.batches, batch).name);
    if (batch === undefined) return [];
    const near = zone.places.filter(
      (place) =>
        place.name !== cull.bag &&
        !out.has(place.name) &&
        Math.hypot(place.x - centre.x, place.y - centre.y) <= NEAR_MM,
    );
    return near.map((place) => ({
      zone: index,
      bag: place.name,
      near: cull.bag,
      why: cull.why ?? 'cull',
      days,
    }));
  });
}

/**
 * The plan without the bags that were taken out of a batch, for its light
 * figures and sheet. A zone with no bag left keeps its places: its light no
 * longer matters, and `endedHint` says so.
 */
export function withoutBags(plan: ResolvedPlan, notes: readonly Note[], day: CivilDay): ResolvedPlan {
  const zones = plan.zones.map((zone, index) => {
    const batch = batchOn(plan, index, day);
    if (batch === undefined) return zone;
    const out = bagsOut(notes, itemAt(plan.batches, batch).name, day);
    const places = zone.places.filter((place) => !out.has(place.name));
    return places.length === 0 ? zone : { ...zone, places };
  });
  return { ...plan, zones };
}

/** What to write into the plan when the last bag of a zone, or of a batch, is out; undefined otherwise. */
export function endedHint(plan: ResolvedPlan, notes: readonly Note[], cull: Note): string | undefined {
  const batch = plan.batches.find((one) => one.name === cull.batch);
  if (!batch) return undefined;
  const out = bagsOut(notes, batch.name);
  const emptied = (zone: number): boolean =>
    itemAt(plan.zones, zone).places.every((place) => out.has(place.name));
  const home = batch.zones.find((stay) => itemAt(plan.zones, stay.zone).name === cull.zone);
  if (!home || !emptied(home.zone)) return undefined;
  const date = isoDate(cull.day);
  if (batch.zones.every((stay) => emptied(stay.zone))) {
    return `That was the last bag of ${batch.name}. Write \`ended: ${date}\` into the batch: its lamps stay dark, its visits stop, its zones are free.`;
  }
  return `That was the last bag in zone ${cull.zone}. Write \`ended: { ${cull.zone}: ${date} }\` into batch ${batch.name}: the zone stays dark and is free.`;
}
