/**
 * What each lamp of a zone does in a treatment, and why the others are off.
 *
 * Always holds: every output that may burn for the zone is told once; a reason is found
 * by lighting the lamp as well and looking at what that would change.
 */

import { itemAt } from '../../shared/assert.ts';
import { NO_PULL } from '../light/blue.ts';
import type { LightField } from '../light/field.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { FULL, lampReaches, tiedOutputs } from '../solve/patterns.ts';
import { outputsOfZone, zonesOfLamp } from '../steer/belongs.ts';
import { type Figures, zoneFigures } from '../steer/figures.ts';
import { DARK_LUX, litFromLux } from '../steer/pull.ts';
import { BESIDE_MOST, ownAngle } from '../steer/question.ts';
import type { Treatment } from '../steer/treatment.ts';
import { type Fault, faultsOf, worseFault } from './fault.ts';

/** Why a lamp is off: what it would do if it burned as well, with the figure it would give. */
export type WhyOff =
  /** Nothing of it reaches the bags: shaded, or shining past them. */
  | { readonly why: 'reaches nothing' }
  /** Its colour does nothing for a lean. */
  | { readonly why: 'no pull' }
  /** Degrees between its own pull and the side asked for. */
  | { readonly why: 'other side'; readonly off: number }
  /** Degrees off the side the light would come then. */
  | { readonly why: 'side'; readonly off: number }
  /** Contrast, or for upright the greatest ratio of opposite sides. */
  | { readonly why: 'contrast'; readonly ratio: number }
  /** Least and greatest level of a bag, lx. */
  | { readonly why: 'level'; readonly low: number; readonly high: number }
  /** Alone it gives no bag more than `most` lx; less than `least` is as good as none. */
  | { readonly why: 'too faint'; readonly most: number; readonly least: number }
  /** It would add nothing that is missing, or spoil a zone beside. */
  | { readonly why: 'not needed' };

/** Lamps of one output and what they do; those of it that light nothing here stand apart. */
export interface LampDeed {
  readonly lamps: readonly string[];
  /** Hours of a day in which it burns: the mean over the days, the least and the most. */
  readonly hours: number;
  readonly leastHours: number;
  readonly mostHours: number;
  /** Its share of full while it burns. */
  readonly share: number;
  /** Undefined while it burns. */
  readonly off: WhyOff | undefined;
}

/**
 * What the zone's own lamps do while one thing is asked; while the zone is to be dark only
 * those that burn, for another.
 * `days` are what happens day by day, `main` what happens longest: the reasons are found there.
 */
export function lampDeeds(
  plan: ResolvedPlan,
  field: LightField,
  main: Treatment,
  days: readonly (readonly Treatment[])[],
): LampDeed[] {
  const { ask, zone, zoneField } = main;
  const named = (some: readonly number[]): string[] => some.map((lamp) => itemAt(plan.lamps, lamp).name);
  return outputsOfZone(plan, field.outputs, zone).flatMap((index): LampDeed[] => {
    const output = itemAt(field.outputs, index);
    const shining = output.lamps.filter((lamp) => lampReaches(zoneField, lamp));
    const lamps = named(shining.length > 0 ? shining : output.lamps);
    const idle = output.lamps.filter(
      (lamp) => !shining.includes(lamp) && zonesOfLamp(plan, lamp).includes(zone),
    );
    const others: LampDeed[] =
      shining.length > 0 && idle.length > 0
        ? [{ lamps: named(idle), ...OFF, off: nothingOf(field, idle) }]
        : [];
    const deed = burningOn(days, index);
    if (ask.kind === 'dark')
      return deed.hours > 0 ? [{ lamps: named(output.lamps), ...deed, off: undefined }] : [];
    const off =
      shining.length === 0 && deed.hours === 0
        ? nothingOf(field, output.lamps)
        : deed.hours > 0
          ? undefined
          : whyOff(main, index);
    return [{ lamps, ...deed, off }, ...others];
  });
}

const nothingOf = ({ bending }: LightField, lamps: readonly number[]): WhyOff =>
  lamps.every((lamp) => itemAt(bending, lamp).share < NO_PULL)
    ? { why: 'no pull' }
    : { why: 'reaches nothing' };

const OFF = { hours: 0, leastHours: 0, mostHours: 0, share: 0 } as const;

/** How long an output burns on some days, and how strongly. */
function burningOn(
  days: readonly (readonly Treatment[])[],
  output: number,
): Pick<LampDeed, 'hours' | 'leastHours' | 'mostHours' | 'share'> {
  let full = 0;
  const hours = days.map((all) => {
    let minutes = 0;
    for (const part of all.flatMap(({ burning }) => burning)) {
      const level = part.levels.find(([at]) => at === output)?.[1] ?? 0;
      if (level > 0) minutes += part.minutes;
      full += (part.minutes * level) / FULL;
    }
    return minutes / 60;
  });
  const sum = hours.reduce((total, one) => total + one, 0);
  if (sum === 0) return OFF;
  return {
    hours: sum / days.length,
    leastHours: Math.min(...hours),
    mostHours: Math.max(...hours),
    share: full / 60 / sum,
  };
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
  return worse ? reasonOf(worse, figures) : (tooFaint(treatment, output, now) ?? { why: 'not needed' });
}

/** Undefined: its light counts, or nothing is missing that it could add to and it is more than dark. */
function tooFaint({ ask, zoneField }: Treatment, output: number, now: readonly Fault[]): WhyOff | undefined {
  const alone = [{ minutes: 1, levels: [[output, FULL] as const] }];
  const most = zoneFigures(zoneField, { kind: 'dark' }, alone, []).level.high;
  const isShort = ask.kind === 'lit' && now.some(({ kind }) => kind === 'unlit' || kind === 'level');
  const least = isShort ? litFromLux(ask.low / 100) : DARK_LUX;
  return most < least ? { why: 'too faint', most, least } : undefined;
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
