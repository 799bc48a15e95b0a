/**
 * Notes light that is cut because a later day's light of the same zone begins:
 * where stages or batches meet, or where the clock skips time under a very long day.
 *
 * Always holds: facts only; one note for each pair of stages that meet.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { Report } from '../findings/collector.ts';
import { stageOn, stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan, ResolvedStage } from '../plan/plan.ts';
import type { DayDemands, Demand } from '../timeline/demand.ts';

/** A cut reaches no further: a photoperiod lasts a day, and clocks change by hours. */
const DAYS_AHEAD = 3;

/** One note for each stage of a batch whose light is cut. `days` in order. */
export function noteLightCut(plan: ResolvedPlan, days: readonly DayDemands[], report: Report): void {
  days.forEach((today, at) => {
    for (const demand of today.demands.filter(({ yields }) => yields > 0)) {
      const stage = stageOf(plan, demand, today);
      const later = laterLight(days.slice(at + 1, at + 1 + DAYS_AHEAD), demand.zone);
      if (!stage || !later) continue;
      const next = stageOf(plan, later.demand, later.on);
      const batch = itemAt(plan.batches, demand.batch).name;
      const nextBatch = itemAt(plan.batches, later.demand.batch).name;
      const facts = {
        ...{ stage: stage.name, batch, date: isoDate(today.day), minutes: demand.yields },
        whole: demand.lit[0] === demand.lit[1],
        ...{ next: next?.name, nextBatch, nextDate: isoDate(later.on.day), nextStart: later.demand.start },
      };
      const identity = `${batch} ${stage.name} ${nextBatch} ${next?.name}`;
      report('light-cut', stage.span, facts, undefined, identity);
    }
  });
}

function stageOf(plan: ResolvedPlan, demand: Demand, { day }: DayDemands): ResolvedStage | undefined {
  return stageOn(stayIn(plan, demand.batch, demand.zone), day);
}

/** The light of a zone that begins first in some days. */
function laterLight(
  days: readonly DayDemands[],
  zone: number,
): { readonly on: DayDemands; readonly demand: Demand } | undefined {
  return days
    .flatMap((on) => on.demands.filter((one) => one.zone === zone).map((demand) => ({ on, demand })))
    .sort((a, b) => a.demand.lit[0] - b.demand.lit[0])[0];
}
