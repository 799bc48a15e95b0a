/**
 * How long relay contacts last at the pace at which the plan switches them.
 *
 * Always holds: facts only. A contact is good for the board's number of
 * operations at rated load; lamps whose drivers draw a large current at
 * switching on wear it faster, so the pace is told early.
 */

import type { Report } from '../findings/collector.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { DayBlocks } from '../steer/block.ts';

/** A contact that lasts at least so long needs no word. */
const YEARS_WANTED = 10;
const DAYS_A_YEAR = 365;

/** `load-contact-life` for each output whose contact would be worn sooner. */
export function checkContacts(plan: ResolvedPlan, days: readonly DayBlocks[], report: Report): void {
  const operations = switchings(days);
  for (const [controller, { name, board, span }] of plan.controllers.entries()) {
    const life = board.limits.contactOperations;
    if (life === undefined) continue;
    for (const [index, output] of board.outputs.entries()) {
      const count = operations.get(`${controller}/${index + 1}`) ?? 0;
      const years = (life / count) * (days.length / DAYS_A_YEAR);
      if (output.kind !== 'relay' || count === 0 || years >= YEARS_WANTED) continue;
      const number = index + 1;
      const facts = { controller: name, number, operations: count, life, years: Math.round(years * 10) / 10 };
      report('load-contact-life', span, facts, undefined, `${controller}/${number}`);
    }
  }
}

/** Times each output is switched on, by `controller/output`. */
function switchings(days: readonly DayBlocks[]): Map<string, number> {
  const counts = new Map<string, number>();
  for (const { controller, output } of days.flatMap(({ blocks }) => blocks)) {
    const key = `${controller}/${output}`;
    counts.set(key, (counts.get(key) ?? 0) + 1);
  }
  return counts;
}
