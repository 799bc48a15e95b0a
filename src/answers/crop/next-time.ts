/**
 * What to do the next time, in sentences that follow from the figures.
 *
 * Always holds: each sentence gives its figures and how sure they are; where the
 * bags are too few, or show no difference, that is all that is said.
 */

import { stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { growthWords, MM_PER_INCH } from '../../../shared/measures.ts';
import { list } from '../../words/lists.ts';
import type { BagLife } from '../bags/lives.ts';
import { type Comparison, MEASURES, type Measure } from './compare.ts';
import type { CropReview } from './crop.ts';
import { cropFigures } from './figures.ts';
import { meanInterval } from './intervals.ts';
import { bagsWords, intervalWords, type Say, saysOf } from './words.ts';

/** The sentences; empty where nothing was compared. */
export function nextTime(plan: ResolvedPlan, crop: CropReview): string[] {
  const clear = crop.comparisons.filter(({ isClear }) => isClear);
  return [
    ...clear.map((one) => clearWords(plan, one)),
    ...knobsWords(plan, crop),
    ...growthRateWords(plan, crop),
    ...unclearWords(plan, crop.comparisons),
  ];
}

const NAMES: Readonly<Record<Measure, string>> = {
  freshG: 'fresh mass a bag',
  growth: 'growth a day',
  knobsDays: 'days to knobs',
  leanDeg: 'lean to the side asked for',
  lost: 'bags lost',
};

/** `hold left gave 12 to 40 g more fresh mass a bag than upright (…)`. */
function clearWords(plan: ResolvedPlan, comparison: Comparison): string {
  const { measure, a, b, difference, bags } = comparison;
  if (!difference) return '';
  const isMore = difference.low > 0;
  const [more, less] = isMore ? [a, b] : [b, a];
  const [of, and] = isMore ? bags : [bags[1], bags[0]];
  const far = isMore ? difference : { low: -difference.high, high: -difference.low };
  const words = moreWords(measure, more, less, intervalWords(far, sayOf(plan, measure)));
  const sides = `${factorWords(comparison)}: ${words}`;
  return `${sides} (${of} and ${bagsWords(and)}; 95 % sure, for all comparisons here together).${causeWords(comparison)}`;
}

function moreWords(measure: Measure, more: string, less: string, far: string): string {
  switch (measure) {
    case 'freshG':
      return `${more} gave ${far} more fresh mass a bag than ${less}; for more mass, do as you did with ${more}`;
    case 'growth':
      return `${more} grew ${far} more a day than ${less}; lift and look there sooner`;
    case 'knobsDays':
      return `${less} had knobs ${far.replace(/ d$/, ' days')} sooner than ${more}`;
    case 'leanDeg':
      return `${more} leaned ${far} further to its side than ${less}; for more lean, do as you did with ${more}`;
    case 'lost':
      return `${more} lost ${far.replace(/ %$/, '')} more bags in 100 than ${less}; find out why before you do the same as with ${more} again`;
  }
}

/** What else may have been the cause. */
function causeWords({ also }: Comparison): string {
  if (also.length === 0) return '';
  return ` They also differ in ${list(also)}, so these bags cannot tell what made the difference.`;
}

const factorWords = ({ factors }: Comparison): string => {
  const words = list(factors.filter((factor, i) => i === 0 || factor !== 'side'));
  return words.charAt(0).toUpperCase() + words.slice(1);
};

function sayOf({ units }: ResolvedPlan, measure: Measure): Say {
  const say = saysOf(units);
  const says = {
    ...{ freshG: say.grams, growth: say.growth, knobsDays: say.days },
    ...{ leanDeg: say.degrees, lost: say.percent },
  };
  return says[measure];
}

/** What the bags cannot tell, a sentence a division. */
function unclearWords(plan: ResolvedPlan, comparisons: readonly Comparison[]): string[] {
  const divisions = new Map<string, Comparison[]>();
  for (const one of comparisons) {
    const key = factorWords(one);
    divisions.set(key, [...(divisions.get(key) ?? []), one]);
  }
  return [...divisions].flatMap(([name, some]) => {
    const of = (is: (one: Comparison) => boolean): Measure[] =>
      MEASURES.filter((measure) => {
        const mine = some.filter((one) => one.measure === measure);
        return mine.length > 0 && mine.every((one) => !one.isClear) && mine.some(is);
      });
    const few = of(({ difference }) => difference === undefined);
    const none = of(({ difference }) => difference !== undefined).filter((one) => !few.includes(one));
    const names = (measures: readonly Measure[]): string => list(measures.map((one) => NAMES[one]));
    return [
      ...(few.length > 0 ? [`${name}: too little was noted to tell a difference in ${names(few)}.`] : []),
      ...(none.length > 0
        ? [`${name}: these bags show no sure difference in ${names(none)}.${unseenWords(plan, none, some)}`]
        : []),
    ];
  });
}

/** How large a difference may be that these bags do not show, where there is one pair; of several nothing is said. */
function unseenWords(plan: ResolvedPlan, none: readonly Measure[], some: readonly Comparison[]): string {
  const parts = none.flatMap((measure) => {
    const [only, ...more] = some.filter((one) => one.measure === measure);
    if (more.length > 0 || !only?.difference) return [];
    const { low, high } = only.difference;
    const most = sayOf(plan, measure)(Math.max(-low, high));
    return [
      measure === 'lost' ? `${most.replace(/ %$/, '')} bags lost in 100` : `${most} in ${NAMES[measure]}`,
    ];
  });
  if (parts.length === 0) return '';
  return ` With so few bags, a difference of up to ${list(parts)} could still be there, for better or worse.`;
}

/** Knobs that came earlier or later than the regime has them. */
function knobsWords(plan: ResolvedPlan, { lives }: CropReview): string[] {
  const regimes = new Map<string, { before: ResolvedStage; begins: number; lives: BagLife[] }>();
  for (const life of lives) {
    const zone = life.stays[0]?.zone;
    const stay = zone === undefined ? undefined : stayIn(plan, life.batch, zone);
    const index = stay?.stages.findIndex(({ name }) => name === 'climb') ?? -1;
    const [climb, before] = [stay?.stages[index], stay?.stages[index - 1]];
    if (!stay || !climb || !before) continue;
    const known = regimes.get(stay.regime) ?? { before, begins: climb.regular.begins, lives: [] };
    known.lives.push(life);
    regimes.set(stay.regime, known);
  }
  return [...regimes].flatMap(([regime, { before, begins, lives: some }]) => {
    const { knobsDays } = cropFigures(plan, [], some);
    const interval = knobsDays && meanInterval(knobsDays);
    if (!knobsDays || !interval || (interval.low <= begins && begins <= interval.high)) return [];
    const off = Math.round(knobsDays.mean - begins);
    const days = before.regular.days + off;
    if (off === 0 || days < 1) return [];
    const how = `${Math.abs(off)} ${Math.abs(off) === 1 ? 'day' : 'days'} ${off < 0 ? 'before' : 'after'}`;
    return [
      `Knobs came on day ${knobsDays.mean.toFixed(0)} (${intervalWords(interval, (day) => day.toFixed(0))}; ${bagsWords(knobsDays.bags)}, 95 % sure), ` +
        `${how} climb begins in regime ${regime}: write \`days: ${days}\` for its ${before.name}.`,
    ];
  });
}

/** Growth that is surely not what the estimate takes. */
function growthRateWords(plan: ResolvedPlan, { whole }: CropReview): string[] {
  const { growth } = whole;
  const interval = growth && meanInterval(growth);
  const { mid } = plan.growth.rate;
  if (!growth || !interval || interval.low <= 0 || (interval.low <= mid && mid <= interval.high)) return [];
  const written = [interval.low, growth.mean, interval.high].map((mm) =>
    plan.units === 'us' ? `${(mm / MM_PER_INCH).toFixed(3)} in/d` : `${mm.toFixed(1)} mm/d`,
  );
  const say: Say = (mm) => growthWords(mm, plan.units);
  return [
    `Growth was ${say(growth.mean)} a day (${intervalWords(interval, say)}; ${bagsWords(growth.bags)}, 95 % sure), where the estimate assumes ` +
      `${say(mid)}: to use what was measured, write growth: { rate: [${written.join(', ')}] }.`,
  ];
}
