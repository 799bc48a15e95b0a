/**
 * What is said of a harvest whose masses can be true and hardly are: more than
 * such a bag gives, or dried to more or less than growth dries to.
 *
 * Always holds: it is a remark; the entry stands, and it is said how to take it
 * back.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { harvestWords, massWords } from '../../../shared/measures.ts';
import type { BagLife } from '../bags/lives.ts';
import { dryMix } from '../prep/dry-mix.ts';
import type { Note } from './note.ts';
import { wayOn } from './way-on.ts';

/** Twice the most that is published, 20 % of caps (Soriano 2022, read as an excerpt); antlers give less. */
const MOST_EFFICIENCY = 0.4;
/** What growth usually dries to, as a share of its fresh mass (a starting value, no source). */
const USUAL_DRY = { low: 0.15, high: 0.6 };

/** An entry of a harvest that was just made, and the bag as it was before. */
interface Cut {
  readonly entry: Note;
  readonly life: BagLife;
}

/** The remarks on the entries of one harvest; `lives` are their bags before, in the same order. */
export function harvestTold(
  plan: ResolvedPlan,
  notes: readonly Note[],
  entries: readonly Note[],
  lives: readonly BagLife[],
): string[] {
  const cuts = entries.map((entry, i) => ({ entry, life: itemAt(lives, i) }));
  const much = cuts.filter((cut) => efficiencyOf(plan, notes, cut) > MOST_EFFICIENCY);
  const odd = cuts.filter((cut) => {
    const share = dryShare(cut);
    return share !== undefined && (share < USUAL_DRY.low || share > USUAL_DRY.high);
  });
  const early = cuts.filter((cut) => cut.entry.massG !== undefined && isBeforeGrowth(plan, cut));
  return [...earlyWords(early), ...muchWords(plan, notes, much), ...dryWords(plan, odd)];
}

/** By the plan its batch had no light yet, with which growth begins. */
function isBeforeGrowth(plan: ResolvedPlan, { entry, life }: Cut): boolean {
  const stages = itemAt(plan.batches, life.batch).zones.flatMap((stay) => stay.stages);
  const lit = stages.filter(({ light }) => light !== undefined);
  return lit.length > 0 && lit.every(({ from }) => entry.day < from);
}

function earlyWords(cuts: readonly Cut[]): string[] {
  const [first] = cuts;
  if (!first) return [];
  const days = first.entry.day - first.life.sealed;
  return [
    `${first.life.name} was cut ${days} ${days === 1 ? 'day' : 'days'} after sealing, before the light with which growth begins.` +
      `${alike(cuts)} ${wayOnOf(cuts)}`,
  ];
}

/** Fresh mass that was just weighed over the dry mix of its bag; 0: none was. */
function efficiencyOf(plan: ResolvedPlan, notes: readonly Note[], { entry, life }: Cut): number {
  return (entry.massG ?? 0) / 1000 / dryMix(plan, notes, life.batch).kg;
}

const freshOf = ({ entry, life }: Cut): number | undefined => entry.massG ?? life.harvest?.freshG;

/** Undefined: no dry mass was just weighed. */
function dryShare(cut: Cut): number | undefined {
  const fresh = freshOf(cut);
  return cut.entry.dryG === undefined || fresh === undefined ? undefined : cut.entry.dryG / fresh;
}

function muchWords(plan: ResolvedPlan, notes: readonly Note[], cuts: readonly Cut[]): string[] {
  const [first] = cuts;
  if (!first) return [];
  const { kg, isAssumed } = dryMix(plan, notes, first.life.batch);
  const fresh = massWords((first.entry.massG ?? 0) / 1000, plan.units);
  const mix = `${massWords(kg, plan.units)} of dry mix${isAssumed ? ' (assumed: the plan names none)' : ''}`;
  return [
    `${first.life.name} gave ${fresh} fresh from ${mix}, which is ${percent(efficiencyOf(plan, notes, first))}; ` +
      `the most that is published is 20 %, of caps.${alike(cuts)} ${wayOnOf(cuts)}`,
  ];
}

function dryWords({ units }: ResolvedPlan, cuts: readonly Cut[]): string[] {
  const [first] = cuts;
  const share = first && dryShare(first);
  if (!first || share === undefined) return [];
  const [dry, fresh] = [first.entry.dryG ?? 0, freshOf(first) ?? 0].map((g) => harvestWords(g, units));
  const usual = `${USUAL_DRY.low * 100} to ${USUAL_DRY.high * 100} %`;
  const why = share > USUAL_DRY.high ? ' It may not be dry yet.' : '';
  return [
    `${first.life.name} dried from ${fresh} to ${dry}, which is ${percent(share)}; about ${usual} is usual ` +
      `(Leanward’s own starting value).${why}${alike(cuts)} ${wayOnOf(cuts)}`,
  ];
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;

const alike = ({ length }: readonly Cut[]): string =>
  length > 1 ? ` ${length - 1} more ${length === 2 ? 'bag is' : 'bags are'} like this.` : '';

const wayOnOf = (cuts: readonly Cut[]): string => wayOn(cuts.map(({ entry }) => entry));
