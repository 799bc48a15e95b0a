/**
 * The bags of a batch by number, and the place each was sealed for.
 *
 * Always holds: a number once given stays: what was kept at sealing goes before
 * what the plan says now, and bags that the plan has beyond it come after.
 */

import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Note } from '../book/note.ts';
import type { SealedLot } from '../book/sealed.ts';

/** A bag as it was sealed. */
export interface RosterEntry {
  /** 1 the first. */
  readonly number: number;
  /** Name of its first zone, and its position there. */
  readonly zone: string;
  readonly position: number;
}

/** `spring-07`; never fewer than two digits, so that lists of a hundred bags sort. */
export const bagName = (batch: string, number: number): string =>
  `${batch}-${String(number).padStart(2, '0')}`;

/** How many bags the plan seals for each zone of a batch, in the order of their numbers. */
export function plannedRoster(plan: ResolvedPlan, batch: ResolvedBatch): SealedLot['roster'] {
  return batch.home.map((zone) => {
    const { name, places } = itemAt(plan.zones, zone);
    return { zone: name, bags: places.length };
  });
}

/** What was kept of a batch at its sealing, if it was. */
export function sealedOf(notes: readonly Note[], batch: string): SealedLot | undefined {
  return notes.find((note) => note.kind === 'sealed' && note.batch === batch)?.sealed;
}

/** The bags of a batch, in order of their numbers. */
export function rosterOf(
  plan: ResolvedPlan,
  batch: ResolvedBatch,
  notes: readonly Note[],
): readonly RosterEntry[] {
  const kept = sealedOf(notes, batch.name)?.roster ?? [];
  const had = new Map(kept.map(({ zone, bags }) => [zone, bags]));
  const more = plannedRoster(plan, batch).map(({ zone, bags }) => ({ zone, from: had.get(zone) ?? 0, bags }));
  const places = [...kept.map(({ zone, bags }) => ({ zone, from: 0, bags })), ...more].flatMap(
    ({ zone, from, bags }) =>
      Array.from({ length: Math.max(0, bags - from) }, (_, i) => ({ zone, position: from + i + 1 })),
  );
  return places.map((place, i) => ({ number: i + 1, ...place }));
}
