/**
 * Where the light differs with height: the mean meets the band, but not the lowest fifth
 * of the headspace, where growth starts, or the light of the top comes from below.
 *
 * Always holds: said once for a zone and stage, with the figures of the worst day.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Report } from '../findings/collector.ts';
import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Treatment } from '../steer/treatment.ts';

/** Light from lower than this draws growth down, degrees. */
const LOWEST = -30;

export function noteHeights(plan: ResolvedPlan, treatments: readonly Treatment[], report: Report): void {
  const worst = new Map<string, Treatment>();
  for (const treatment of treatments) {
    if (!differs(treatment)) continue;
    const key = `${treatment.zone} ${treatment.batch} ${treatment.stage}`;
    const known = worst.get(key);
    if (known && known.figures.heights.lowest.level <= treatment.figures.heights.lowest.level) continue;
    worst.set(key, treatment);
  }
  for (const [identity, { zone, batch, stage, ask, figures }] of worst) {
    const entry = stayIn(plan, batch, zone)?.stages[stage];
    if (ask.kind === 'dark' || !entry) continue;
    const { lowest, middle, top } = figures.heights;
    const at = itemAt(plan.zones, zone);
    const facts = {
      zone: at.name,
      stage: entry.name,
      low: Math.round(ask.low / 100),
      lowest: Math.round(lowest.level),
      middle: Math.round(middle.level),
      top: Math.round(top.level),
      elevation: Math.round(top.elevation ?? 0),
    };
    report('light-by-height', entry.span, facts, at.span, identity);
  }
}

function differs({ ask, figures, minutes }: Treatment): boolean {
  if (ask.kind === 'dark' || minutes - figures.litMinutes > 0) return false;
  const { lowest, top } = figures.heights;
  const dim = figures.level.low * 100 >= ask.low && lowest.level * 100 < ask.low;
  // Light from several sides cancels out but for its height: only where a side is asked does it pull from there.
  const steep = ask.side !== undefined && figures.elevation > LOWEST && (top.elevation ?? 0) < LOWEST;
  return dim || steep;
}
