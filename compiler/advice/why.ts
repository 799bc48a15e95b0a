/**
 * What each lamp of a zone does in a treatment, and why the others are off.
 *
 * Always holds: every output that may burn for the zone is told once; a reason is found
 * by lighting the lamp as well and looking at what that would change.
 */

import { itemAt } from '../../shared/assert.ts';
import type { LightField } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { FULL, lampReaches, tiedOutputs } from '../solve/patterns.ts';
import { zonesOfLamp, zonesOfOutput } from '../steer/belongs.ts';
import { type Figures, zoneFigures } from '../steer/figures.ts';
import { BESIDE_MOST, ownAngle } from '../steer/question.ts';
import type { Treatment } from '../steer/treatment.ts';
import { type Fault, faultsOf, worseFault } from './fault.ts';

/** Why a lamp is off: what it would do if it burned as well, with the figure it would give. */
export type WhyOff =
  /** Nothing of it reaches the bags: shaded, or shining past them. */
  | { readonly why: 'reaches nothing' }
  /** Degrees between its own pull and the side asked for. */
  | { readonly why: 'other side'; readonly off: number }
  /** Degrees off the side the light would come then. */
  | { readonly why: 'side'; readonly off: number }
  /** Contrast, or for upright the greatest ratio of opposite sides. */
  | { readonly why: 'contrast'; readonly ratio: number }
  /** Least and greatest level of a bag, lx. */
  | { readonly why: 'level'; readonly low: number; readonly high: number }
  /** It would add nothing that is missing, or spoil a zone beside. */
  | { readonly why: 'not needed' };

/** Lamps of one output and what they do; those of it that light nothing here stand apart. */
export interface LampDeed {
  readonly lamps: readonly string[];
  /** Hours of the treatment in which it burns, and its share of full then. */
  readonly hours: number;
  readonly share: number;
  /** Undefined while it burns. */
  readonly off: WhyOff | undefined;
}

/** What the zone's own lamps do; nothing while the zone is to be dark. */
export function lampDeeds(plan: ResolvedPlan, field: LightField, treatment: Treatment): LampDeed[] {
  if (treatment.ask.kind === 'dark') return [];
  return field.outputs.flatMap((output, index): LampDeed[] => {
    if (!zonesOfOutput(plan, output).includes(treatment.zone)) return [];
    const named = (some: readonly number[]): string[] => some.map((lamp) => itemAt(plan.lamps, lamp).name);
    const shining = output.lamps.filter((lamp) => lampReaches(treatment.zoneField, lamp));
    const lamps = named(shining.length > 0 ? shining : output.lamps);
    const idle = output.lamps.filter(
      (lamp) => !shining.includes(lamp) && zonesOfLamp(plan, lamp).includes(treatment.zone),
    );
    const more: LampDeed[] =
      shining.length > 0 && idle.length > 0
        ? [{ lamps: named(idle), hours: 0, share: 0, off: { why: 'reaches nothing' } }]
        : [];
    const burning = treatment.burning.flatMap(({ minutes, levels }) =>
      levels.flatMap(([at, level]) => (at === index ? [{ minutes, level }] : [])),
    );
    const minutes = burning.reduce((sum, part) => sum + part.minutes, 0);
    const full = burning.reduce((sum, part) => sum + (part.minutes * part.level) / FULL, 0);
    if (minutes > 0) return [{ lamps, hours: minutes / 60, share: full / minutes, off: undefined }, ...more];
    return [{ lamps, hours: 0, share: 0, off: whyOff(treatment, index) }, ...more];
  });
}

function whyOff(treatment: Treatment, output: number): WhyOff {
  const { ask, zoneField, burning, background } = treatment;
  if (!tiedOutputs(zoneField).includes(output)) return { why: 'reaches nothing' };
  const side = ask.kind === 'lit' ? ask.side : undefined;
  const own = side ? ownAngle(zoneField, output, side) : 0;
  if (own >= BESIDE_MOST) return { why: 'other side', off: Math.round(own / 100) };
  const more = burning.map((part) => ({ ...part, levels: [...part.levels, [output, FULL] as const] }));
  const figures = zoneFigures(zoneField, ask, more, background);
  const now = faultsOf(treatment);
  const worse = faultsOf({ ...treatment, figures }).find(
    (fault) => !now.some((known) => known.kind === fault.kind && !worseFault(fault, known)),
  );
  return worse ? reasonOf(worse, figures) : { why: 'not needed' };
}

function reasonOf({ kind, by }: Fault, figures: Figures): WhyOff {
  if (kind === 'upright') return { why: 'contrast', ratio: figures.imbalance };
  if (kind === 'lean' && itemAt(by, 0) > 0) return { why: 'side', off: Math.round(figures.direction ?? 0) };
  if (kind === 'lean') return { why: 'contrast', ratio: figures.contrast ?? 0 };
  if (kind === 'level') return { why: 'level', low: figures.level.low, high: figures.level.high };
  if (kind === 'unlit')
    return { why: 'side', off: Math.round(Math.max(0, ...figures.bags.map((bag) => bag.direction ?? 0))) };
  return { why: 'not needed' };
}
