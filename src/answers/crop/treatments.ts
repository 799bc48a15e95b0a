/**
 * Which treatment each bag had: of what the crop is compared by.
 *
 * Always holds: what a bag had is read from the places where it really stood
 * while there was light. Where it spent less than a tenth of that time does not
 * count; a bag that was moved between two treatments counts for neither alone
 * but in a row of its own, named by both in their order.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { BatchZone, Lean, ResolvedMix, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { list } from '../../words/lists.ts';
import { sideWord } from '../../words/sides.ts';
import type { BagLife } from '../bags/lives.ts';

/** By what bags are compared, in the order in which they are told. */
export const FACTORS = ['lot', 'lean', 'side', 'regime', 'zone', 'strain', 'mix', 'bag'] as const;

export type Factor = (typeof FACTORS)[number];

/** What a bag had, in words. */
export type Traits = Readonly<Record<Factor, string>>;

/** A part of the lit time below this does not count. */
const LEAST_PART = 0.1;

/** What a bag had. */
function traitsOf(plan: ResolvedPlan, life: BagLife): Traits {
  const batch = itemAt(plan.batches, life.batch);
  const bag = itemAt(plan.bags, batch.bag);
  const had = treatedIn(plan, life);
  return {
    lot: batch.lot ?? batch.name,
    lean: inTurn(had.map(({ stay, days }) => [leanOf(stay), days])),
    side: inTurn(had.map(({ stay, days }) => [sidesOf(stay), days])),
    regime: inTurn(had.map(({ stay, days }) => [stay.regime, days])),
    zone: inTurn(had.map(({ stay, days }) => [itemAt(plan.zones, stay.zone).name, days])),
    strain: batch.strain ?? 'not named',
    mix: bag.mix ? mixWords(bag.mix) : 'not named',
    bag: bag.name,
  };
}

/** What lit a bag, one entry a place, with the days of light it had there; a bag that went before any light, where it stood. */
function treatedIn(plan: ResolvedPlan, life: BagLife): { stay: BatchZone; days: number }[] {
  const all = life.stays.flatMap(({ zone, from, until }) => {
    const found = new Map<BatchZone, { lit: number; all: number }>();
    for (let day = from as number; day < until; day++) {
      // The light of a zone is that of the batch it is lit for, also for a guest.
      const host = batchOn(plan, zone, day) ?? life.batch;
      const stay = stayIn(plan, host, zone);
      if (!stay) continue;
      const days = found.get(stay) ?? { lit: 0, all: 0 };
      const lit = stageOn(stay, day)?.light ? 1 : 0;
      found.set(stay, { lit: days.lit + lit, all: days.all + 1 });
    }
    return [...found].map(([stay, days]) => ({ stay, ...days }));
  });
  const hadLight = all.some(({ lit }) => lit > 0);
  return all.map(({ stay, lit, all: whole }) => ({ stay, days: hadLight ? lit : whole }));
}

/** `A`; of a bag that was moved, `A, then C`. */
function inTurn(parts: readonly (readonly [word: string, days: number])[]): string {
  const whole = parts.reduce((sum, [, days]) => sum + days, 0);
  const days = new Map<string, number>();
  for (const [word, part] of parts) days.set(word, (days.get(word) ?? 0) + part);
  const counted = parts.filter(([word]) => (days.get(word) ?? 0) >= LEAST_PART * whole && whole > 0);
  const words = counted.map(([word]) => word).filter((word, i, all) => word !== all[i - 1]);
  return words.length === 0 ? 'none' : words.join(', then ');
}

/** The leans of a stay's stages in words, without what stands upright before and after; `upright` where there is no other. */
function leanOf({ stages }: BatchZone): string {
  const words = stages.flatMap(({ lean, light }) =>
    light && lean.kind === 'sides' ? [leanWords(lean)] : [],
  );
  const different = words.filter((word, i) => word !== words[i - 1]);
  return different.length === 0 ? 'upright' : different.join(', then ');
}

/** `hold left`; `sway left and right, 7 d each`. */
function leanWords({ motion, sides, every, by }: Extract<Lean, { kind: 'sides' }>): string {
  const words = list(sides.map(sideWord));
  const turned = by === 'turning' ? ', by turning' : '';
  return motion === 'hold' ? `hold ${words}${turned}` : `${motion} ${words}, ${every} d each${turned}`;
}

/** The sides that a stay's growth is drawn toward, in the order of the compass. */
function sidesOf({ stages }: BatchZone): string {
  const sides = stages.flatMap(({ lean, light }) => (light && lean.kind === 'sides' ? lean.sides : []));
  const different = [...new Set(sides)].sort((a, b) => a - b);
  return different.length === 0 ? 'no side' : list(different.map(sideWord));
}

function mixWords({ parts, moisture }: ResolvedMix): string {
  const whole = parts.reduce((sum, { share }) => sum + share, 0);
  const words = parts.map(({ name, share }) => `${name} ${percent(share / whole)}`);
  return `${words.join(', ')}, ${percent(moisture)} moisture`;
}

const percent = (share: number): string => `${Math.round(share * 100)} %`;

/** What each of some bags had. */
export type KnownTraits = ReadonlyMap<BagLife, Traits>;

/** What each bag had; bags that stood in the same zones on the same days had the same. */
export function allTraits(plan: ResolvedPlan, lives: readonly BagLife[]): KnownTraits {
  const alike = new Map<string, Traits>();
  return new Map(
    lives.map((life) => {
      const stays = life.stays.map(({ zone, from, until }) => [zone, from, until].join(' '));
      const key = `${life.batch}: ${stays.join(', ')}`;
      const traits = alike.get(key) ?? traitsOf(plan, life);
      alike.set(key, traits);
      return [life, traits];
    }),
  );
}

/** Bags that had the same by one factor, or by several that split the bags alike. */
export interface Division {
  /** The factors, the one it is named by first. */
  readonly factors: readonly Factor[];
  readonly rows: readonly { readonly label: string; readonly lives: readonly BagLife[] }[];
}

/** The ways in which the bags differ: lots always, then each factor by which some differ. */
export function divisionsOf(traits: KnownTraits): Division[] {
  const lives = [...traits.keys()];
  const numbers = new Map(lives.map((life, i) => [life, i]));
  const merged = new Map<string, { factors: Factor[]; split: readonly (readonly BagLife[])[] }>();
  for (const factor of FACTORS) {
    const split = [...grouped(lives, (life) => traits.get(life)?.[factor] ?? '').values()];
    if (split.length < 2 && factor !== 'lot') continue;
    const key = split.map((some) => some.map((life) => numbers.get(life)).join()).join(';');
    const known = merged.get(key);
    if (known) known.factors.push(factor);
    else merged.set(key, { factors: [factor], split });
  }
  return [...merged.values()].map(({ factors, split }) => ({
    // A sole lot has no strain of its own to be told apart by.
    factors: split.length < 2 ? factors.slice(0, 1) : factors,
    rows: split.map((some) => ({
      lives: some,
      label: labelOf(some[0] && traits.get(some[0]), split.length < 2 ? factors.slice(0, 1) : factors),
    })),
  }));
}

const TOLD_BY_LEAN: readonly Factor[] = ['side', 'regime'];

/** `upright (zone B)`; sides are in the lean's own words already, and a regime is told by its lean. */
function labelOf(traits: Traits | undefined, [first = 'lot', ...others]: readonly Factor[]): string {
  if (!traits) return '';
  const more = others
    .filter((factor) => !TOLD_BY_LEAN.includes(factor))
    .map((factor) => `${factor} ${traits[factor]}`);
  return more.length === 0 ? traits[first] : `${traits[first]} (${more.join('; ')})`;
}

/** Items by a key, in the order of their first. */
function grouped<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const found = new Map<string, T[]>();
  for (const item of items) found.set(keyOf(item), [...(found.get(keyOf(item)) ?? []), item]);
  return found;
}

/** Factors, not among those of a division, by which two of its rows differ wholly or in part. */
export function alsoDiffer(
  traits: KnownTraits,
  { factors }: Division,
  a: readonly BagLife[],
  b: readonly BagLife[],
): Factor[] {
  return FACTORS.filter((factor) => {
    if (factors.includes(factor)) return false;
    const words = (some: readonly BagLife[]): string =>
      [...new Set(some.map((life) => traits.get(life)?.[factor]))].sort().join('|');
    return words(a) !== words(b);
  });
}
