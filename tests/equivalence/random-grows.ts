/** Random plans: what the table's bytes show against what the intent says. */

import fc from 'fast-check';
import { expect } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { planDays } from '../../compiler/plan/on-a-day.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { utcSeconds } from '../../shared/units.ts';
import { BOARDS } from '../support/boards.ts';
import { intendedLight } from './intent.ts';
import { RANDOM_FILES, randomPlan } from './random-plan.ts';

const DAY = 86_400;

/** A plan without errors, compiled, with the span of its grow. */
export function compiled(text: string) {
  const result = compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES });
  expect(result.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const { plan, timeline, tables } = result;
  const { first, end } = sure(planDays(sure(plan)));
  return {
    plan: sure(plan),
    timeline: sure(timeline),
    tables,
    from: utcSeconds((first - 2) * DAY),
    until: utcSeconds((end + 2) * DAY),
  };
}

/** Holds so many random plans to the intent at every minute and at every edge. */
export function showTheIntent(runs: number): void {
  fc.assert(
    fc.property(randomPlan, (text) => {
      const { plan, timeline, tables, from, until } = compiled(text);
      const changes = [...traceTable(itemAt(tables, 0).encoded.bytes, from, until)];
      for (let output = 1; output <= 8; output++) {
        const lit = intendedLight(plan.timezone, timeline.days, 0, output);
        const edges = lit.flatMap((one) => [one.from - 1, one.from, one.until - 1, one.until]);
        const minutes: number[] = [];
        for (let utc = from as number; utc < until; utc += 60) minutes.push(utc);
        const instants = [...minutes, ...edges]
          .filter((utc) => utc >= from && utc < until)
          .sort((a, b) => a - b);
        let at = 0;
        let begun = 0;
        for (const utc of instants) {
          while (at + 1 < changes.length && itemAt(changes, at + 1).utc <= utc) at++;
          while (begun < lit.length && itemAt(lit, begun).from < utc - 3 * DAY) begun++;
          let wanted = 0;
          for (let k = begun; k < lit.length && itemAt(lit, k).from <= utc; k++)
            if (utc < itemAt(lit, k).until) wanted = Math.max(wanted, itemAt(lit, k).byte);
          const shown = itemAt(changes, at).levels[output - 1];
          if (shown !== wanted) expect({ output, utc, level: shown }).toEqual({ output, utc, level: wanted });
        }
      }
    }),
    { numRuns: runs },
  );
}
