/**
 * What came of some bags: how many went in, were lost and gave a harvest, how
 * fast they grew, where they leaned, what they weighed.
 *
 * Always holds: a figure is of the bags that have it, and says of how many; what
 * was seen of a whole batch at once is one observation, not one a bag; bags
 * weighed together are one observation, and where only part of them is among
 * the bags asked for, none.
 */

import { batchOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { sideOn } from '../../../compiler/timeline/demands.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { type BagLife, lastPlace } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
import { dryMix } from '../prep/dry-mix.ts';
import { begunStage, growthOf } from './growth.ts';
import { type Observation, type Proportion, type Sample, sampleOf } from './intervals.ts';

/** Bags lost for one cause, with the week of each, 1 the first after sealing. */
export interface CropLoss {
  readonly why: string;
  readonly weeks: readonly number[];
}

export interface CropFigures {
  readonly bags: number;
  readonly standing: number;
  readonly harvested: number;
  readonly lost: Proportion;
  readonly losses: readonly CropLoss[];
  /** Days from sealing. */
  readonly knobsDays: Sample | undefined;
  /** mm a day. */
  readonly growth: Sample | undefined;
  /** The last lean noted of each bag that was drawn to a side, degrees toward that side. */
  readonly leanDeg: Sample | undefined;
  /** Bags of these whose last lean was within 45° of the side asked for. */
  readonly leanReached: Proportion;
  /** The last lean noted of each bag that no side was asked of, degrees from the vertical. */
  readonly offUprightDeg: Sample | undefined;
  /** Fresh and dry mass of a harvested bag, g. */
  readonly freshG: Sample | undefined;
  readonly dryG: Sample | undefined;
  /** Fresh mass over the dry mass of the mix, both of one bag, as a share: biological efficiency. */
  readonly efficiency: Sample | undefined;
  /** Dried mass over the dry mass of the mix, as a share. */
  readonly dryYield: Sample | undefined;
  /** Sums over all bags, g. */
  readonly totalFreshG: number;
  readonly totalDryG: number;
  /** Bags weighed together with bags that are not among these: their masses are in the sums alone. */
  readonly weighedAcross: number;
  /** The dry mass of some mix is assumed: neither kept at sealing nor a mix in the plan. */
  readonly isMixAssumed: boolean;
}

/** What came of some bags of a plan. */
export function cropFigures(
  plan: ResolvedPlan,
  notes: readonly Note[],
  lives: readonly BagLife[],
): CropFigures {
  const cut = lives.filter(({ harvest }) => harvest !== undefined);
  const culled = lives.filter(({ out }) => out?.kind === 'cull');
  const whole = weighings(lives);
  const masses = (of: (life: BagLife) => number | undefined): Sample | undefined =>
    sampleOf(whole.flatMap((some) => meanOf(some, of)));
  const mixes = new Map(
    [...new Set(cut.map(({ batch }) => batch))].map((batch) => [batch, dryMix(plan, notes, batch)] as const),
  );
  const perMix = (life: BagLife, grams: number | undefined): number | undefined =>
    grams === undefined ? undefined : grams / 1000 / (mixes.get(life.batch)?.kg ?? Number.NaN);
  const leans = lives.flatMap((life) => leanOf(plan, life) ?? []);
  const sided = leans.filter(({ isSided }) => isSided);
  return {
    ...{ bags: lives.length, harvested: cut.length },
    standing: lives.filter(({ out }) => out === undefined).length,
    lost: { count: culled.length, of: lives.length },
    losses: lossesOf(culled),
    knobsDays: sampleOf(knobsSeen(lives)),
    growth: sampleOf(lives.flatMap((life) => alone(growthOf(life)?.line.slope))),
    leanDeg: sampleOf(sided.flatMap(({ toward }) => alone(toward))),
    offUprightDeg: sampleOf(leans.flatMap(({ toward, isSided }) => (isSided ? [] : alone(toward)))),
    leanReached: { count: sided.filter(({ isReached }) => isReached).length, of: sided.length },
    freshG: masses(({ harvest }) => harvest?.freshG),
    dryG: masses(({ harvest }) => harvest?.dryG),
    efficiency: masses((life) => perMix(life, life.harvest?.freshG)),
    dryYield: masses((life) => perMix(life, life.harvest?.dryG)),
    totalFreshG: cut.reduce((sum, { harvest }) => sum + (harvest?.freshG ?? 0), 0),
    totalDryG: cut.reduce((sum, { harvest }) => sum + (harvest?.dryG ?? 0), 0),
    weighedAcross: cut.length - whole.reduce((sum, some) => sum + some.length, 0),
    isMixAssumed: [...mixes.values()].some(({ isAssumed }) => isAssumed),
  };
}

const alone = (value: number | undefined): Observation[] => (value === undefined ? [] : [{ value, bags: 1 }]);

/** Week of a bag's life, 1 the first. */
export const weekOf = (life: BagLife, day: CivilDay): number => Math.floor((day - life.sealed) / 7) + 1;

function lossesOf(culled: readonly BagLife[]): CropLoss[] {
  const causes = new Map<string, number[]>();
  for (const life of culled) {
    if (!life.out) continue;
    const why = life.out.why ?? 'other';
    causes.set(why, [...(causes.get(why) ?? []), weekOf(life, life.out.day)]);
  }
  return [...causes]
    .map(([why, weeks]) => ({ why, weeks: weeks.sort((a, b) => a - b) }))
    .sort((a, b) => b.weeks.length - a.weeks.length);
}

/** Days to knobs: of each bag that was noted; what was noted of a batch is one observation of its bags. */
function knobsSeen(lives: readonly BagLife[]): Observation[] {
  const ofBatch = new Map<number, { value: number; bags: number }>();
  const ofBag = lives.flatMap((life) => {
    const seen = begunStage(life, 'climb');
    if (!seen || (life.out !== undefined && life.out.day < seen.day)) return [];
    const value = seen.day - life.sealed;
    if (seen.ofBag) return [{ value, bags: 1 }];
    const known = ofBatch.get(life.batch);
    ofBatch.set(life.batch, { value, bags: (known?.bags ?? 0) + 1 });
    return [];
  });
  return [...ofBag, ...ofBatch.values()];
}

interface LeanReached {
  /** Degrees toward the side asked for; where none was, degrees from the vertical. */
  readonly toward: number;
  readonly isSided: boolean;
  readonly isReached: boolean;
}

/** The last lean noted of a bag, against what its light asked of it; undefined without, or where its side was asked for and not noted. */
function leanOf(plan: ResolvedPlan, life: BagLife): LeanReached | undefined {
  const note = life.notes.findLast(({ leanDeg }) => leanDeg !== undefined);
  if (note?.leanDeg === undefined) return undefined;
  const side = sideAsked(plan, life, note.day);
  if (side === undefined) return { toward: note.leanDeg, isSided: false, isReached: false };
  if (note.leanSideDeg === undefined) return undefined;
  const across = Math.cos(((note.leanSideDeg - side) * Math.PI) / 180);
  return { toward: note.leanDeg * across, isSided: true, isReached: across >= Math.SQRT1_2 - 1e-9 };
}

/**
 * The side that growth should lean to by a day: the one lit then; of what stands
 * upright by then, the side that was held before. Undefined: none.
 */
function sideAsked(plan: ResolvedPlan, life: BagLife, day: CivilDay): number | undefined {
  const zone = lastPlace(life, day)?.zone;
  if (zone === undefined) return undefined;
  // On the day it goes out a bag stands nowhere any more.
  const stay = stayIn(plan, batchOn(plan, zone, day) ?? life.batch, zone) ?? stayIn(plan, life.batch, zone);
  const lit = stay?.stages.filter(({ from, light }) => from <= day && light !== undefined) ?? [];
  const now = lit.at(-1);
  const side = now ? sideOn(now.lean, day - now.from) : 'upright';
  if (side !== 'upright') return side;
  const held = lit.findLast(({ lean }) => lean.kind === 'sides');
  return held?.lean.kind === 'sides' && held.lean.motion === 'hold' ? held.lean.sides[0] : undefined;
}

/** The fresh masses of bags as they were weighed. */
export const freshMasses = (lives: readonly BagLife[]): Observation[] =>
  weighings(lives).flatMap((some) => meanOf(some, ({ harvest }) => harvest?.freshG));

/** Harvested bags by what stood on the scale at once; those weighed with bags that are not among these are left out. */
function weighings(lives: readonly BagLife[]): BagLife[][] {
  const groups = new Map<string, BagLife[]>();
  for (const life of lives) {
    const { harvest } = life;
    if (!harvest) continue;
    const { day, freshG, together } = harvest;
    const key = together === 1 ? life.name : `${day} ${freshG} ${together}`;
    groups.set(key, [...(groups.get(key) ?? []), life]);
  }
  // Two weighings of one day may have come to the same share: then there are twice as many.
  return [...groups.values()].filter((some) => some.length % (some[0]?.harvest?.together ?? 1) === 0);
}

/** One observation a weighing, as the mean of its bags; none where some were not weighed so. */
function meanOf(some: readonly BagLife[], of: (life: BagLife) => number | undefined): Observation[] {
  const values = some.flatMap((life) => of(life) ?? []);
  if (values.length < some.length) return [];
  return [{ value: values.reduce((sum, one) => sum + one, 0) / values.length, bags: values.length }];
}
