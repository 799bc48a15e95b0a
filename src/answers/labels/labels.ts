/**
 * What a bag's label says.
 *
 * Always holds: labels come in the order in which bags stand: shelf, zone,
 * position.
 */

import type { ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type BagLife, lastPlace } from '../bags/lives.ts';

export interface BagLabel {
  /** The bag's name; also what the code says. */
  readonly name: string;
  /** The other lines, most wanted first. */
  readonly lines: readonly string[];
  /** The shelf that it stands on; empty where the plan no longer has its place. */
  readonly shelf: string;
}

/** The labels of bags, as they stand on a day. */
export function bagLabels(plan: ResolvedPlan, lives: readonly BagLife[], day: number): BagLabel[] {
  const placed = lives.map((life) => ({ life, stay: lastPlace(life, day) }));
  const order = (zone: number | undefined): number =>
    zone === undefined ? Number.MAX_SAFE_INTEGER : itemAt(plan.zones, zone).shelf * 10_000 + zone;
  placed.sort(
    (a, b) =>
      order(a.stay?.zone) - order(b.stay?.zone) ||
      (a.stay?.position ?? 0) - (b.stay?.position ?? 0) ||
      a.life.batch - b.life.batch ||
      a.life.number - b.life.number,
  );
  return placed.map(({ life, stay }) => {
    const batch = itemAt(plan.batches, life.batch);
    const shelf = stay === undefined ? undefined : plan.shelves[itemAt(plan.zones, stay.zone).shelf];
    return { name: life.name, lines: linesOf(plan, batch), shelf: shelf?.name ?? '' };
  });
}

function linesOf(plan: ResolvedPlan, batch: ResolvedBatch): string[] {
  const parts = itemAt(plan.bags, batch.bag).mix?.parts ?? [];
  const mix = parts.map(({ name, share }) => `${name} ${Math.round(share * 1000) / 10} %`).join(', ');
  const lot = [
    ...(batch.lot === undefined ? [] : [`lot ${batch.lot}`]),
    ...(batch.strain === undefined ? [] : [batch.strain]),
  ];
  return [
    `sealed ${isoDate(batch.sealed)}`,
    ...(lot.length === 0 ? [] : [lot.join(', ')]),
    ...(mix === '' ? [] : [mix]),
  ];
}
