/**
 * Notes light that starts in an hour which a clock change skips or repeats.
 *
 * Always holds: the time zone's offset changes are handed in; nothing is looked up.
 */

import { isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import type { Report } from '../findings/collector.ts';
import { isInStage } from '../plan/on-a-day.ts';
import type { ResolvedPlan, ResolvedStage } from '../plan/plan.ts';
import type { UtcOffsets } from '../plan/utc-offsets.ts';

/** The civil minutes a change skips or shows twice: [from, until) on a day. */
interface Unsettled {
  readonly day: number;
  readonly from: number;
  readonly until: number;
  readonly skipped: boolean;
}

/** One note for each stage whose light starts in a skipped or repeated hour. */
export function noteClockChanges(plan: ResolvedPlan, offsets: UtcOffsets, report: Report): void {
  if (plan.clock === 'steady') return;
  const gaps = gapsOf(offsets);
  for (const batch of plan.batches) {
    for (const stage of batch.zones.flatMap((zone) => zone.stages)) {
      const gap = gaps.find((one) => startsIn(stage, one));
      if (!gap || !stage.light) continue;
      const facts = {
        stage: stage.name,
        batch: batch.name,
        start: stage.light.start,
        date: isoDate(civilDay(gap.day)),
        skipped: gap.skipped,
        until: gap.until,
      };
      report('clock-change', stage.span, facts);
    }
  }
}

function gapsOf({ initialQuarters, changes }: UtcOffsets): readonly Unsettled[] {
  let before = initialQuarters;
  return changes.map(({ at, quarters }) => {
    const clocks = [at / 60 + before * 15, at / 60 + quarters * 15];
    const first = Math.min(...clocks);
    const day = Math.floor(first / 1440);
    const gap = {
      day,
      from: first - day * 1440,
      until: Math.max(...clocks) - day * 1440,
      skipped: quarters > before,
    };
    before = quarters;
    return gap;
  });
}

function startsIn(stage: ResolvedStage, gap: Unsettled): boolean {
  const { light } = stage;
  return (
    light !== undefined && isInStage(stage, gap.day) && gap.from <= light.start && light.start < gap.until
  );
}
