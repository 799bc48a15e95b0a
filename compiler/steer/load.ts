/**
 * What may burn at once: the mains circuit, and the supply of a controller that feeds
 * low-voltage lamps itself.
 *
 * Always holds: lamps without a power in the plan take no part.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LightField } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { DayBlocks } from './block.ts';

/** Outputs (indices into the field's) and the watts they may draw together. */
export interface Limit {
  readonly outputs: readonly number[];
  readonly watts: number;
}

/** The limits that all their outputs burning together would break. */
export function loadLimits(plan: ResolvedPlan, field: LightField): Limit[] {
  const powered = field.outputs.flatMap((output, index) => (output.watts > 0 ? [index] : []));
  const limits: Limit[] = [];
  if (plan.circuit) limits.push({ outputs: powered, watts: plan.circuit.volts * plan.circuit.amperes });
  plan.controllers.forEach(({ supply, board }, controller) => {
    if (supply === undefined) return;
    const fed = powered.filter((index) => {
      const output = itemAt(field.outputs, index);
      return output.controller === controller && board.outputs[output.number - 1]?.kind !== 'relay';
    });
    limits.push({ outputs: fed, watts: supply.volts * supply.amperes });
  });
  return limits.filter(({ outputs, watts }) => total(field, outputs) > watts);
}

const total = (field: LightField, outputs: readonly number[]): number =>
  outputs.reduce((sum, index) => sum + itemAt(field.outputs, index).watts, 0);

/** Whether the blocks keep a limit at every instant (wall times of each day's demands are all that is looked at). */
export function keepsLimit(field: LightField, limit: Limit, days: readonly DayBlocks[]): boolean {
  const changes: [time: number, watts: number][] = [];
  for (const { day, blocks } of days) {
    for (const block of blocks) {
      const output = field.outputs.findIndex(
        (o) => o.controller === block.controller && o.number === block.output,
      );
      if (!limit.outputs.includes(output)) continue;
      const watts = (itemAt(field.outputs, output).watts * block.level) / 16;
      const from = day * 1440 + block.anchor + block.from;
      changes.push([from, watts], [from + block.length, -watts]);
    }
  }
  changes.sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  let burning = 0;
  return changes.every(([, watts]) => {
    burning += watts;
    return burning <= limit.watts + 1e-6;
  });
}
