/**
 * Where all bags of a zone get light in the range in which the one published schedule
 * we know has caps and not antlers.
 *
 * Always holds: said once for a zone and stage, with the figure of its dimmest days; not of
 * the stage in which the growth ripens, when its form is settled.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Report } from '../findings/collector.ts';
import { ripeningOf, stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { Treatment } from '../steer/treatment.ts';

/**
 * Antlers at 200–500 lx and 4–8 h, caps at 500–1,500 lx and 12 h (Poot 2010, growers' question-and-answer
 * text, seen as an excerpt only: evidence low).
 */
const CAPS_FROM_LUX = 500;

export function noteCapRange(plan: ResolvedPlan, treatments: readonly Treatment[], report: Report): void {
  const dimmest = new Map<string, Treatment>();
  for (const treatment of treatments) {
    if (treatment.ask.kind === 'dark') continue;
    const key = `${treatment.zone} ${treatment.batch} ${treatment.stage}`;
    const known = dimmest.get(key);
    if (known && known.figures.level.low <= treatment.figures.level.low) continue;
    dimmest.set(key, treatment);
  }
  for (const [identity, { zone, batch, stage, figures }] of dimmest) {
    const stay = stayIn(plan, batch, zone);
    const entry = stay?.stages[stage];
    if (figures.level.low < CAPS_FROM_LUX || !entry?.light || (stay && entry === ripeningOf(stay))) continue;
    const at = itemAt(plan.zones, zone);
    const facts = {
      zone: at.name,
      stage: entry.name,
      level: Math.round(figures.level.low),
      hours: entry.light.photoperiod / 60,
    };
    report('light-cap-range', entry.span, facts, at.span, identity);
  }
}
