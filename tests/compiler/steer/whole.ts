/**
 * The light of a whole plan through the real timeline: field, days, blocks, findings.
 */

import { checkLight } from '../../../compiler/checks/light.ts';
import { collect } from '../../../compiler/findings/collector.ts';
import { lightField } from '../../../compiler/light/field.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { steerDays } from '../../../compiler/steer/choose.ts';
import { dayDemands } from '../../../compiler/timeline/demands.ts';
import { sure } from '../../../shared/assert.ts';
import { utcSeconds } from '../../../shared/units.ts';

export function lightOf(plan: ResolvedPlan, photometry?: Readonly<Record<string, string>>) {
  const span = sure(planDays(plan));
  const at = (day: number) => utcSeconds(day * 86_400);
  const demands = dayDemands(plan, offsetsFor(plan.timezone, at(span.first - 2), at(span.end + 2)));
  const field = lightField(plan, { photometry });
  const steered = steerDays(plan, field, demands);
  const findings = collect((report) => checkLight(plan, field, demands, steered, { photometry }, report));
  return { demands, field, steered, findings };
}
