/**
 * How long relay contacts last at the pace at which the plan switches them.
 *
 * Always holds: facts only. A contact is good for the board's number of
 * operations at rated load; lamps whose drivers draw a large current at
 * switching on wear it faster, so the pace is told early.
 */

import type { Finding } from '../findings/finding.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { DayBlocks } from '../steer/block.ts';

/** A contact that lasts at least so long needs no word. */
const YEARS_WANTED = 10;
const DAYS_A_YEAR = 365;

/** `load-contact-life` for each output whose contact would be worn sooner. */
export function checkContacts(plan: ResolvedPlan, days: readonly DayBlocks[]): Finding[] {
  const operations = switchings(days);
  return plan.controllers.flatMap(({ name, board, span }, controller) => {
    const life = board.limits.contactOperations;
    if (life === undefined) return [];
    return board.outputs.flatMap((output, index): Finding[] => {
      const count = operations.get(`${controller}/${index + 1}`) ?? 0;
      const years = (life / count) * (days.length / DAYS_A_YEAR);
      if (output.kind !== 'relay' || count === 0 || years >= YEARS_WANTED) return [];
      const facts = { controller: name, number: index + 1, operations: count, life };
      const tenths = Math.round(years * 10) / 10;
      return [{ code: 'load-contact-life', severity: 'warning', span, facts: { ...facts, years: tenths } }];
    });
  });
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
