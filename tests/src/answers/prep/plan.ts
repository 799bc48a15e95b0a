/** Plans for the bag sheet's tests, read by the real reader. */

import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { readPlan } from '../../../../compiler/read-plan.ts';
import { allBoards } from '../../../../src/files/boards.ts';

/** A plan with the given bag entry on an ordinary rack; throws with the findings when it does not read. */
export function planWithBag(bag: string, more = ''): ResolvedPlan {
  const { plan, findings } = readPlan(
    `leanward: 1
place: { timezone: America/Chicago }
shelves:
  counter: { size: [36 in, 14 in], clear: 24 in, deck: wire }
zones:
  A: { bags: [3, 1] }
lamps:
  front: { beside: A, side: front, output: 1, flux: 350 lm }
  back: { beside: A, side: back, output: 2, flux: 350 lm }
bags:
  tall: ${bag}
batches:
  spring: { sealed: 2026-02-16 }
${more}`,
    { boards: Object.fromEntries(allBoards().map((board) => [board.id, board])) },
  );
  if (!plan) throw new Error(JSON.stringify(findings));
  return plan;
}
