/**
 * Which remedies are worth trying for a fault, cheapest first.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LightField } from '../light/field.ts';
import { lampsOfZone, zoneOfLamp } from '../plan/on-the-rack.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { OTHER_SIDE } from '../solve/score.ts';
import { BESIDE_MOST, ownAngle } from '../steer/question.ts';
import type { Treatment } from '../steer/treatment.ts';
import { culpritOf } from './cause.ts';
import type { Fault } from './fault.ts';
import { emptyEnds, longerStrips, type Remedy, screenBetween } from './remedy.ts';

/** Sets of remedies to try in turn. */
export function remediesFor(
  plan: ResolvedPlan,
  field: LightField,
  treatment: Treatment,
  fault: Fault,
): (readonly Remedy[])[] {
  if (fault.kind === 'level' || fault.kind === 'unlit') return fluxes(plan, field, treatment);
  const barrier = barrierFor(plan, field, treatment, fault) ?? nextScreen(plan, treatment.zone, fault);
  if (fault.kind === 'dark') return barrier ? [[barrier]] : [];
  const longer = longerStrips(plan, treatment.zone);
  const ends = emptyEnds(plan, treatment.zone);
  const single = [barrier, longer, ends].flatMap((one) => (one ? [[one]] : []));
  const both = barrier && longer ? [[barrier, longer]] : [];
  return [...single, ...both, ...(ends && longer ? [[longer, ends]] : [])];
}

/** What would keep the culprit's light out: a screen on the same shelf, a solid board between shelves. */
function barrierFor(
  plan: ResolvedPlan,
  field: LightField,
  treatment: Treatment,
  fault: Fault,
): Remedy | undefined {
  const output = culpritOf(plan, field, treatment, fault)?.output;
  if (output === undefined) return undefined;
  const lamp = itemAt(itemAt(field.outputs, output).lamps, 0);
  const own = itemAt(plan.zones, treatment.zone).shelf;
  const from = itemAt(plan.lamps, lamp).shelf;
  if (from !== own) return { kind: 'cover', shelf: upper(plan, from, own) };
  const other = zoneOfLamp(plan, lamp);
  return other === undefined ? undefined : screenBetween(plan, treatment.zone, other);
}

/** A zone that cannot be lit as asked is often held back by the one beside it, whose lamps would spoil it. */
function nextScreen(plan: ResolvedPlan, zone: number, { kind }: Fault): Remedy | undefined {
  if (kind !== 'upright' && kind !== 'lean') return undefined;
  for (const [other] of plan.zones.entries()) {
    const screen = screenBetween(plan, zone, other);
    if (screen !== undefined) return screen;
  }
  return undefined;
}

const upper = (plan: ResolvedPlan, a: number, b: number): number =>
  itemAt(plan.shelves, a).height > itemAt(plan.shelves, b).height ? a : b;

/**
 * More or less flux in those of the zone's own lamps that help toward the side asked for, in
 * whole twentieths, aimed at the near edge of the band. Bags that get their light from
 * another side are not what it is aimed at: no flux turns them.
 */
function fluxes(plan: ResolvedPlan, field: LightField, treatment: Treatment): (readonly Remedy[])[] {
  const { ask, figures } = treatment;
  const lamps = helpfulLamps(plan, field, treatment);
  if (ask.kind === 'dark' || lamps.length === 0) return [];
  const means = figures.bags
    .filter(({ direction }) => (direction ?? 0) * 100 <= OTHER_SIDE)
    .map(({ mean }) => mean);
  if (means.length === 0) return [];
  const [low, high] = [Math.min(...means), Math.max(...means)];
  if (low <= 0) return [];
  const short = low * 100 < ask.low;
  const exact = short ? ask.low / (low * 100) : ask.high / (high * 100);
  const step = short ? Math.ceil(exact * 20) : Math.floor(exact * 20);
  if (step <= 0 || step > 100) return [];
  return [[{ kind: 'flux', lamps, percent: step * 5 }]];
}

/** The zone's lamps that pull toward the side it asks for; for upright all of them. */
function helpfulLamps(plan: ResolvedPlan, field: LightField, { ask, zone, zoneField }: Treatment): number[] {
  const side = ask.kind === 'lit' ? ask.side : undefined;
  const pulls = field.outputs.flatMap(({ lamps }, output) =>
    side === undefined || ownAngle(zoneField, output, side) < BESIDE_MOST ? lamps : [],
  );
  return lampsOfZone(plan, zone).filter((lamp) => pulls.includes(lamp));
}
