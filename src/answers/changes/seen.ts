/**
 * Which days of lost light follow from what was seen of the bags: a batch that
 * ended, or a stage that began early, so that all after it comes earlier too.
 *
 * Always holds: beginnings account for lost days only where they account for
 * all of a stay's; what somebody shortened besides is asked about.
 */

import { stageOn } from '../../../compiler/plan/on-a-day.ts';
import type { BatchZone, ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import type { Loss } from './changes.ts';

/** What is left of a loss when the days are taken out that follow from what was seen. */
export function notSeen(plan: ResolvedPlan, loss: Loss): Loss[] {
  const zone = plan.zones.findIndex(({ name }) => loss.place === `zone ${name}`);
  const stays = plan.batches
    .flatMap((batch) => batch.zones.filter((stay) => stay.zone === zone))
    .sort((a, b) => a.enters - b.enters);
  const left = loss.days.filter((day) => {
    const before = stays.findLast((stay) => stay.free <= day);
    return !before?.isEnded;
  });
  const begun = stays.flatMap((stay, i) => {
    const next = stays[i + 1]?.enters ?? Number.POSITIVE_INFINITY;
    const own = left.filter((day) => stay.enters <= day && day < next);
    return followFromBeginnings(stay, own, next) ? own : [];
  });
  const days = left.filter((day) => !begun.includes(day));
  return days.length === 0 ? [] : [{ ...loss, days }];
}

/** Whether a stay's lost days are just those that had light, had some stage and those after it not been seen to begin. */
function followFromBeginnings(stay: BatchZone, lost: readonly number[], next: number): boolean {
  const [first] = lost;
  if (first === undefined) return false;
  return stay.stages.some((_, k) => {
    const had = litUnlessBegun(stay.stages, k).filter(
      (day) => day >= first && day < next && !stageOn(stay, day)?.light,
    );
    return had.join() === lost.join();
  });
}

/** The days with light if each stage from one (index) on began when the one ahead of it had its whole length. */
function litUnlessBegun(stages: readonly ResolvedStage[], seen: number): number[] {
  let next: number | undefined;
  return stages.flatMap(({ from, light, regular }, i) => {
    const begins = i < seen || next === undefined ? from : next;
    next = begins + regular.days;
    return light ? Array.from({ length: regular.days }, (_, day) => begins + day) : [];
  });
}
