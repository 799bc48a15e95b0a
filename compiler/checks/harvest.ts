/**
 * Whether the harvest is open while a batch ripens.
 *
 * Always holds: said once a batch, of the first of its zones that was not ended; what `batch-over-early`
 * tells is not told again.
 */

import { isoDate } from '../../shared/civil.ts';
import { civilDay } from '../../shared/units.ts';
import type { Report } from '../findings/collector.ts';
import { ripeningOf } from '../plan/on-a-day.ts';
import type { ResolvedBatch, ResolvedPlan } from '../plan/plan.ts';

/** Findings about harvests that open before ripening begins, or close before it. */
export function checkHarvest(plan: ResolvedPlan, report: Report): void {
  for (const batch of plan.batches) checkBatch(plan, batch, report);
}

function checkBatch({ visits }: ResolvedPlan, batch: ResolvedBatch, report: Report): void {
  const { harvest } = visits;
  const stay = batch.zones.find(({ isEnded }) => !isEnded);
  const ripening = stay && ripeningOf(stay);
  if (!harvest || !stay || !ripening) return;
  const [opens, closes] = [batch.sealed + harvest.from, batch.sealed + harvest.until];
  if (opens >= stay.free || opens >= ripening.from) return;
  const facts = {
    batch: batch.name,
    stage: ripening.name,
    ripens: isoDate(ripening.from),
    opens: isoDate(civilDay(opens)),
    closes: isoDate(civilDay(closes - 1)),
    from: ripening.from - batch.sealed,
    until: ripening.from + ripening.days - batch.sealed,
  };
  report(closes <= ripening.from ? 'harvest-unripe' : 'harvest-opens-early', batch.span, facts, harvest.span);
}
