/** Reading changed sample plans, for the plan's tests. */

import { readFileSync } from 'node:fs';
import type { Code } from '../../compiler/findings/codes.ts';
import type { ResolvedPlan } from '../../compiler/plan/plan.ts';
import { type PlanReading, readPlan } from '../../compiler/read-plan.ts';
import { dayFromIso } from '../../shared/civil.ts';
import type { CivilDay } from '../../shared/units.ts';
import { BOARDS as boards } from './boards.ts';

/** The text of a sample plan. */
export function sample(name: string): string {
  return readFileSync(new URL(`../../shared/plans/${name}.plan.yaml`, import.meta.url), 'utf8');
}

/** A replacement in a sample plan. */
export type Change = readonly [from: string, to: string];

/** A sample plan with changes, read. */
export function readChanged(name: string, changes: readonly Change[]): PlanReading {
  const text = changes.reduce((now, [from, to]) => {
    if (!now.includes(from)) throw new Error(`No ${from} in ${name}`);
    return now.replace(from, to);
  }, sample(name));
  return readPlan(text, { boards });
}

/** The plan, which must have no error. */
export function planOf({ plan, findings }: PlanReading): ResolvedPlan {
  const errors = findings.filter(({ severity }) => severity === 'error');
  if (!plan) throw new Error(JSON.stringify(errors));
  return plan;
}

/** The smallest plan with changes. */
export function smallest(...changes: Change[]): ResolvedPlan {
  return planOf(readChanged('smallest', changes));
}

/** Codes found in the smallest plan with changes. */
export function codesOf(...changes: Change[]): Code[] {
  return readChanged('smallest', changes).findings.map(({ code }) => code);
}

/** A day that exists. */
export function day(iso: string): CivilDay {
  const found = dayFromIso(iso);
  if (found === undefined) throw new Error(iso);
  return found;
}
