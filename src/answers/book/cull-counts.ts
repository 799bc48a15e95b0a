/**
 * What was lost, by batch, cause and week since sealing.
 *
 * Always holds: a bag counts once, in the week of its cull; week 1 is the first
 * seven days from sealing.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { BagLife } from '../bags/lives.ts';

/** Bags lost to one cause in one week of a batch. */
export interface CullCount {
  readonly batch: string;
  readonly why: string;
  /** 1: the seven days from sealing on. */
  readonly week: number;
  readonly bags: number;
  /** Bags that the batch was sealed with. */
  readonly of: number;
}

/** The counts, in order of batch, week and cause. */
export function cullCounts(plan: ResolvedPlan, lives: readonly BagLife[]): CullCount[] {
  const counts = new Map<string, CullCount>();
  const sealed = new Map<number, number>();
  for (const { batch } of lives) sealed.set(batch, (sealed.get(batch) ?? 0) + 1);
  for (const { batch, sealed: from, out } of lives) {
    if (out?.kind !== 'cull') continue;
    const week = Math.floor((out.day - from) / 7) + 1;
    const why = out.why ?? 'other';
    const key = `${batch} ${week} ${why}`;
    const one = counts.get(key);
    const name = itemAt(plan.batches, batch).name;
    counts.set(key, { batch: name, why, week, bags: (one?.bags ?? 0) + 1, of: sealed.get(batch) ?? 0 });
  }
  const order = (name: string): number => plan.batches.findIndex((batch) => batch.name === name);
  return [...counts.values()].sort(
    (a, b) => order(a.batch) - order(b.batch) || a.week - b.week || (a.why < b.why ? -1 : 1),
  );
}

/** `early: 2 of 24 bags culled: week 3 mould 1, week 9 leak 1`, a line a batch. */
export function cullLines(counts: readonly CullCount[]): string[] {
  if (counts.length === 0) return ['No bag was culled.'];
  return [...new Set(counts.map(({ batch }) => batch))].map((batch) => {
    const mine = counts.filter((one) => one.batch === batch);
    const bags = mine.reduce((sum, one) => sum + one.bags, 0);
    const each = mine.map(({ week, why, bags: count }) => `week ${week} ${why} ${count}`).join(', ');
    const of = mine[0]?.of ?? 0;
    return `${batch}: ${bags} of ${of === 1 ? '1 bag' : `${of} bags`} culled (${each})`;
  });
}
