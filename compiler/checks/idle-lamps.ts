/**
 * Lamps of which nothing reaches any of their own zones while bags stand there: in a
 * screen's plane, wholly shaded, or shining past the bags or along their own strip.
 *
 * Always holds: every such lamp is named, also one whose output carries others that shine;
 * lamps of one output in the same plight are told together.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Report } from '../findings/collector.ts';
import { ACTION, NO_PULL } from '../light/blue.ts';
import type { LightField } from '../light/field.ts';
import type { ResolvedLamp, ResolvedPlan } from '../plan/plan.ts';
import { lampReaches } from '../solve/patterns.ts';
import { zonesOfLamp } from '../steer/belongs.ts';
import type { Steered } from '../steer/choose.ts';

export function checkIdleLamps(
  plan: ResolvedPlan,
  field: LightField,
  { treatments }: Steered,
  report: Report,
): void {
  const fields = [...new Set(treatments.map(({ zoneField }) => zoneField))];
  const isIdle = (index: number): boolean => {
    const zones = zonesOfLamp(plan, index);
    const own = fields.filter(({ zone }) => zones.includes(zone));
    return own.length > 0 && !own.some((zoneField) => lampReaches(zoneField, index));
  };
  /** Whether a lamp's colour does nothing for a lean. */
  const pullsNowhere = (at: number): boolean => itemAt(field.bending, at).share < NO_PULL;
  for (const [index, output] of field.outputs.entries()) {
    const plights = new Map<string, number[]>();
    for (const at of output.lamps.filter(isIdle)) {
      const lamp = itemAt(plan.lamps, at);
      const key = `${zonesOfLamp(plan, at)}|${shinesAlong(lamp)}|${pullsNowhere(at)}`;
      plights.set(key, [...(plights.get(key) ?? []), at]);
    }
    for (const indices of plights.values()) {
      const lamps = indices.map((at) => itemAt(plan.lamps, at));
      const first = itemAt(lamps, 0);
      const zones = zonesOfLamp(plan, itemAt(indices, 0));
      const named = zones.map((zone) => itemAt(plan.zones, zone).name);
      if (pullsNowhere(itemAt(indices, 0))) {
        const lit = fields.filter(({ zone }) => zones.includes(zone));
        const peaks = lit.map(({ byEye }) => byEye[index]?.peak ?? 0);
        report('light-no-pull', first.span, {
          lamps: lamps.map(({ name }) => name),
          zones: named,
          lux: Math.round(Math.max(...peaks) / 100),
          ...ACTION,
        });
        continue;
      }
      report('light-lamp-idle', first.span, {
        lamps: lamps.map(({ name }) => name),
        zones: named,
        along: shinesAlong(first),
        others: output.lamps.length > lamps.length,
      });
    }
  }
}

/** Whether a strip faces along its own length: it shines square to that, so nowhere. */
function shinesAlong({ shape, facing }: ResolvedLamp): boolean {
  if (shape.kind !== 'strip') return false;
  const way = ([0, 1, 2] as const).map((i) => shape.to[i] - shape.from[i]);
  const length = Math.hypot(...way);
  const cosine = way.reduce((sum, part, i) => sum + part * itemAt(facing, i), 0) / length;
  return length > 0 && Math.abs(cosine) > 1 - 1e-6;
}
