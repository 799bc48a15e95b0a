/**
 * Which light is to blame for a fault.
 *
 * Always holds: the culprit is the source that gives most of what is too much: pull
 * across the side, light on the far face, light in the dark.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { LightFacts } from '../findings/facts.ts';
import type { LightField } from '../light/field.ts';
import { FACES } from '../light/row.ts';
import { zoneOfLamp } from '../plan/on-the-rack.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { ANGLE_MOST } from '../solve/score.ts';
import type { Treatment } from '../steer/treatment.ts';
import type { Fault } from './fault.ts';

/** A source and how much of the harm it does, lx. */
interface Culprit {
  /** Index into the field's outputs, or into the plan's background entries. */
  readonly output: number | undefined;
  readonly background: number | undefined;
  readonly harm: number;
}

/** The facts that name the culprit. */
export function causeOf(
  plan: ResolvedPlan,
  field: LightField,
  treatment: Treatment,
  fault: Fault,
): Pick<LightFacts, 'cause' | 'by' | 'of'> {
  const culprit = culpritOf(plan, field, treatment, fault);
  if (culprit === undefined) return { cause: 'none' };
  if (culprit.background !== undefined)
    return { cause: 'background', by: [itemAt(plan.background, culprit.background).name] };
  const { lamps, zone } = lampsOf(plan, field, sure(culprit.output));
  const own = zone === treatment.zone;
  return {
    cause: own ? 'own' : 'neighbour',
    by: lamps,
    of: zone === undefined ? undefined : itemAt(plan.zones, zone).name,
  };
}

/** Names of an output's lamps and the zone they are there for. */
function lampsOf(plan: ResolvedPlan, field: LightField, output: number) {
  const { lamps } = itemAt(field.outputs, output);
  return {
    lamps: lamps.map((lamp) => itemAt(plan.lamps, lamp).name),
    zone: zoneOfLamp(plan, itemAt(lamps, 0)),
  };
}

/** The source that does most harm to the bag that is worst off; another zone's lamp before the zone's own. */
export function culpritOf(
  plan: ResolvedPlan,
  field: LightField,
  treatment: Treatment,
  fault: Fault,
): Culprit | undefined {
  const all = harms(field, treatment, fault).filter(({ harm }) => harm > 0);
  const most = Math.max(0, ...all.map(({ harm }) => harm));
  const foreign = all.filter(
    ({ output, harm }) =>
      harm >= most / 10 && (output === undefined || lampsOf(plan, field, output).zone !== treatment.zone),
  );
  const worst = (list: readonly Culprit[]): Culprit | undefined =>
    list.reduce<Culprit | undefined>(
      (top, one) => (top === undefined || one.harm > top.harm ? one : top),
      undefined,
    );
  return worst(foreign) ?? worst(all);
}

function harms(field: LightField, treatment: Treatment, fault: Fault): Culprit[] {
  const { zoneField, burning, background } = treatment;
  const minutes = burning.reduce((sum, part) => sum + part.minutes, 0);
  const shares = new Map<number, number>();
  for (const part of burning) {
    for (const [output, level] of part.levels) {
      shares.set(output, (shares.get(output) ?? 0) + (level / 16) * (part.minutes / minutes));
    }
  }
  const lamps = [...shares].flatMap(([output, share]) => {
    const row = zoneField.outputs[output]?.means[fault.bag];
    return row
      ? [{ output, background: undefined, harm: (share * harmOf(row, field, treatment, fault)) / 100 }]
      : [];
  });
  const others = background.map((index) => {
    const row = itemAt(itemAt(zoneField.background, index).means, fault.bag);
    return { output: undefined, background: index, harm: harmOf(row, field, treatment, fault) / 100 };
  });
  return [...lamps, ...others];
}

/** How much of what is too much a row gives. */
function harmOf(row: Int32Array, field: LightField, { ask, figures }: Treatment, { kind }: Fault): number {
  const faces = row.slice(FACES, FACES + field.azimuths.length);
  if (ask.kind === 'dark' || kind === 'level') return Math.max(...faces);
  if (kind === 'upright') return Math.max(...faces) - Math.min(...faces);
  if (ask.side === undefined || kind !== 'lean') return 0;
  if ((figures.direction ?? 0) * 100 <= ANGLE_MOST || (figures.contrast ?? 0) * 100 < ask.contrast) {
    return itemAt(row, ask.side.opposite);
  }
  const [nx, ny] = ask.side.normal;
  return Math.abs(itemAt(row, 0) * ny - itemAt(row, 1) * nx);
}
