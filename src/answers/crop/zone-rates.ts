/**
 * How fast growth was measured to be, zone by zone and batch by batch, by the heights in the grow
 * book: for the estimate of the lean.
 *
 * Always holds: a bag's rate is `growth.ts`'s; of bags too few for an interval
 * the rate may be half or double.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { bagLives } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
import { growthOf } from './growth.ts';
import { meanInterval, sampleOf } from './intervals.ts';

/** Growth of a batch in a zone (names), mm a day: the mean of its bags, with its interval. */
export interface ZoneRate {
  readonly zone: string;
  readonly batch: string;
  readonly low: number;
  readonly mid: number;
  readonly high: number;
}

/** No slower growth is followed, mm a day. */
const LEAST = 0.1;

/** The zones with bags whose heights carry a rate; a bag that was moved counts where it stood last. */
export function zoneRates(plan: ResolvedPlan, notes: readonly Note[]): ZoneRate[] {
  const grown = new Map<string, { zone: string; batch: string; slopes: number[] }>();
  for (const life of bagLives(plan, notes)) {
    const growth = growthOf(life);
    const zone = life.stays.at(-1)?.zone;
    if (!growth || zone === undefined || growth.line.slope <= 0) continue;
    const key = `${zone} ${life.batch}`;
    const names = { zone: itemAt(plan.zones, zone).name, batch: itemAt(plan.batches, life.batch).name };
    grown.set(key, { ...names, slopes: [...(grown.get(key)?.slopes ?? []), growth.line.slope] });
  }
  return [...grown.values()].flatMap(({ zone, batch, slopes }) => {
    const sample = sampleOf(slopes.map((value) => ({ value, bags: 1 })));
    if (!sample) return [];
    const band = meanInterval(sample) ?? { low: sample.mean / 2, high: sample.mean * 2 };
    const [low = LEAST, mid = LEAST, high = LEAST] = [band.low, sample.mean, band.high].map((rate) =>
      Math.max(LEAST, rate),
    );
    return [{ zone, batch, low, mid, high }];
  });
}
