/** Plans for the tests of visits, book and review, read by the real reader. */

import { readFileSync } from 'node:fs';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { readPlan } from '../../../../compiler/read-plan.ts';
import { dayFromIso } from '../../../../shared/civil.ts';
import type { CivilDay } from '../../../../shared/units.ts';
import { allBoards } from '../../../../src/files/boards.ts';

export const boards = Object.fromEntries(allBoards().map((board) => [board.id, board]));

/** A plan from its text; throws with the findings when it does not read. */
export function planOf(text: string): ResolvedPlan {
  const { plan, findings } = readPlan(text, { boards });
  if (!plan) throw new Error(JSON.stringify(findings));
  return plan;
}

/** The text of a sample plan. */
export function sampleText(name: string): string {
  return readFileSync(new URL(`../../../../shared/plans/${name}.plan.yaml`, import.meta.url), 'utf8');
}

/** A civil day that must exist. */
export function day(iso: string): CivilDay {
  const found = dayFromIso(iso);
  if (found === undefined) throw new Error(`${iso} is no date`);
  return found;
}
