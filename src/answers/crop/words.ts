/** The review of the crop in words: its figures, its sentences for the next time, its forecasts. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import {
  growthWords,
  massWords,
  meanHarvestWords,
  temperature,
  type Units,
  yieldWords,
} from '../../../shared/measures.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { list } from '../../words/lists.ts';
import type { SideBySide } from './compare.ts';
import type { CropReview } from './crop.ts';
import type { CropFigures, CropLoss } from './figures.ts';
import { type CropForecast, FURTHEST_DAYS, type LikelyDay } from './forecast.ts';
import { type Interval, meanInterval, type Proportion, type Sample, shareInterval } from './intervals.ts';
import type { Division } from './treatments.ts';

/** A value with its unit. */
export type Say = (value: number) => string;

/** The figures of one row of a comparison: what, and how it was; what nobody noted is left out. */
export function figureRows(figures: CropFigures, units: Units): (readonly [what: string, how: string])[] {
  const say = saysOf(units);
  const each = units === 'us' ? 'lb' : 'kg';
  const rows: (readonly [string, string | undefined])[] = [
    ['bags sealed', String(figures.bags)],
    ['on the rack', figures.standing > 0 ? String(figures.standing) : undefined],
    ['harvested', String(figures.harvested)],
    ['lost', lostWords(figures.lost, figures.losses)],
    ['days to knobs', sampleWords(figures.knobsDays, say.days)],
    ['growth a day', sampleWords(figures.growth, say.growth)],
    ['lean to the side asked for', sampleWords(figures.leanDeg, say.degrees)],
    [
      'leaned within 45° of that side',
      figures.leanReached.of > 0 ? shareWords(figures.leanReached) : undefined,
    ],
    ['lean where no side was asked for', sampleWords(figures.offUprightDeg, say.degrees)],
    ['fresh mass a bag', sampleWords(figures.freshG, say.grams)],
    ['dry mass a bag', sampleWords(figures.dryG, say.grams)],
    [`fresh mass from 1 ${each} of dry mix`, sampleWords(figures.efficiency, say.yield)],
    [`dried mass from 1 ${each} of dry mix`, sampleWords(figures.dryYield, say.yield)],
    ['biological efficiency', sampleWords(figures.efficiency, say.percent)],
    ['fresh mass in all', totalWords(figures.totalFreshG, units)],
    ['dry mass in all', totalWords(figures.totalDryG, units)],
    [
      'weighed together with bags of other columns',
      figures.weighedAcross > 0 ? `${figures.weighedAcross}, counted in no mean` : undefined,
    ],
  ];
  return rows.flatMap(([what, how]) => (how === undefined ? [] : [[what, how] as const]));
}

/** A sum; undefined where it is none. */
function totalWords(grams: number, units: Units): string | undefined {
  if (grams === 0) return undefined;
  return grams < 10_000 ? saysOf(units).grams(grams) : massWords(grams / 1000, units);
}

/** How each kind of value is said in a plan's units. */
export function saysOf(units: Units) {
  return {
    days: (value: number) => `${round(value, 0)} d`,
    growth: (value: number) => growthWords(value, units),
    degrees: (value: number) => `${round(value, 0)}°`,
    grams: (value: number) => meanHarvestWords(value, units),
    yield: (value: number) => yieldWords(value, units),
    percent: (value: number) => percentWords(value),
  } satisfies Record<string, Say>;
}

const round = (value: number, digits: number): string => {
  const text = value.toFixed(digits);
  return Number(text) === 0 ? (0).toFixed(digits) : text;
};

/** `6.2 %` below ten, `15 %` from there on. */
const percentWords = (share: number): string => {
  const percent = share * 100;
  return `${Number(round(percent, Math.abs(percent) < 9.95 ? 1 : 0))} %`;
};

/** `85 g (71 to 99 g), 8 bags`; `85 g, 1 bag`. */
function sampleWords(sample: Sample | undefined, say: Say): string | undefined {
  if (!sample) return undefined;
  const interval = meanInterval(sample);
  const bags = bagsWords(sample.bags);
  if (!interval) return `${say(sample.mean)}, ${bags}`;
  // What cannot be negative is not said to be.
  const low = sample.values.every((value) => value >= 0) ? Math.max(0, interval.low) : interval.low;
  return `${say(sample.mean)} (${intervalWords({ ...interval, low }, say)}), ${bags}`;
}

/** `71 to 99 g`. */
export function intervalWords({ low, high }: Interval, say: Say): string {
  const [from, to] = [say(low), say(high)];
  const unit = /^[−-]?[\d.]+(\D+)$/.exec(to)?.[1];
  const short = unit !== undefined && from.endsWith(unit) ? from.slice(0, -unit.length) : from;
  return `${/^[−-]?[\d.]+$/.test(short) ? short : from} to ${to}`;
}

export const bagsWords = (count: number): string => (count === 1 ? '1 bag' : `${count} bags`);

/** `2 of 12 (5 to 45 %)`. */
function shareWords(share: Proportion): string {
  const interval = shareInterval(share);
  const whole = (value: number): string => `${Math.round(value * 100)} %`;
  return `${share.count} of ${share.of}${interval ? ` (${intervalWords(interval, whole)})` : ''}`;
}

/** `2 of 12 (5 to 45 %): mould in weeks 5 and 9`. */
function lostWords(lost: Proportion, losses: readonly CropLoss[]): string {
  const causes = losses.map(({ why, weeks }) => {
    const different = [...new Set(weeks)].map(String);
    return `${why}${weeks.length > 1 ? ` ${weeks.length}` : ''} in week${different.length > 1 ? 's' : ''} ${list(different)}`;
  });
  return `${shareWords(lost)}${causes.length > 0 ? `: ${causes.join('; ')}` : ''}`;
}

/** `by lean and zone`. */
export const divisionWords = ({ factors }: Division): string =>
  `by ${list(factors.filter((factor, i) => i === 0 || factor !== 'side'))}`;

/** Rows of tables: what, then each row of the comparison as a column; `most` columns a table. */
export function tablesOf(
  { rows, division }: SideBySide,
  units: Units,
  most: number,
): (readonly string[])[][] {
  const columns = rows.map(({ label, figures }) => ({ label, figures: new Map(figureRows(figures, units)) }));
  const names = [...new Set(columns.flatMap(({ figures }) => [...figures.keys()]))];
  const order = orderOf(
    names,
    columns.map(({ figures }) => [...figures.keys()]),
  );
  const tables: (readonly string[])[][] = [];
  for (let from = 0; from < columns.length; from += most) {
    const part = columns.slice(from, from + most);
    const head = [divisionWords(division), ...part.map(({ label }) => label)];
    const body = order
      .filter((name) => part.some(({ figures }) => figures.has(name)))
      .map((name) => [name, ...part.map(({ figures }) => figures.get(name) ?? '–')]);
    tables.push([head, ...body]);
  }
  return tables;
}

/** The names in an order that agrees with each list (all of them are parts of one list). */
function orderOf(names: readonly string[], lists: readonly (readonly string[])[]): string[] {
  return [...names].sort((a, b) => {
    const both = lists.find((one) => one.includes(a) && one.includes(b));
    return both ? both.indexOf(a) - both.indexOf(b) : 0;
  });
}

/** What is published of the yield, each with how far it was read; said beside a biological efficiency. */
export const PUBLISHED_YIELD =
  'Published biological efficiency, of caps: 13 to 19 % (Azizi 2012) and 20 % (Soriano 2022); antlers give about a ' +
  'quarter of that (Stamets, p. 364). All three were read as excerpts only.';

/** How intervals and moved bags are to be read. */
export const HOW_TO_READ =
  'In brackets: the range in which the true value lies, 95 % sure (means by Student’s t, shares by Wilson’s score). ' +
  'A bag counts where it stood while there was light; one that was moved in between counts in a row of its own.';

/** Remarks below the tables. */
export function cropRemarks({ whole }: CropReview): string[] {
  const efficiency = whole.efficiency
    ? [
        whole.isMixAssumed
          ? `${PUBLISHED_YIELD} The dry mass of a mix that the plan does not name is assumed (60 % moisture).`
          : PUBLISHED_YIELD,
      ]
    : [];
  return [HOW_TO_READ, ...efficiency];
}

/** Forecasts, a sentence each. */
export function forecastSentences(
  plan: ResolvedPlan,
  { forecasts, today }: Pick<CropReview, 'forecasts' | 'today'>,
): string[] {
  return forecasts.map((one) => forecastWords(plan, one, today));
}

function forecastWords(plan: ResolvedPlan, forecast: CropForecast, today: CivilDay): string {
  const { batch, zones, bags, stages, harvest } = forecast;
  const where = list(zones.map((zone) => itemAt(plan.zones, zone).name));
  const [first, ...later] = stages;
  const begun = first?.isSeen ? [`${first.stage} since ${isoDate(first.likely)}`] : [];
  const ahead = later.map((stage) =>
    isDue(stage, today)
      ? `${stage.stage} by now, though not noted yet`
      : `${stage.stage} ${fromWords(stage, itemAt(stages, 0).early)}`,
  );
  const cut = harvest
    ? [isDue(harvest, today) ? 'harvest by now' : `harvest ${fromWords(harvest, itemAt(stages, 0).early)}`]
    : [];
  const name = itemAt(plan.batches, batch).name;
  return `${name} in ${where} (${bagsWords(bags)}): ${[...begun, ...ahead, ...cut].join('; ')}. An estimate${groundsWords(plan, forecast)}.`;
}

/** No day is left for it: what may have come lies before today throughout. */
const isDue = ({ late }: LikelyDay, today: CivilDay): boolean => late <= today;

/** `from about 2026-05-24 (2026-05-12 to 2026-06-06)`; where growth stands still, only up to when that was worked out. */
function fromWords({ early, likely, late }: LikelyDay, begins: CivilDay): string {
  if (early - begins >= FURTHEST_DAYS) return `not before ${isoDate(early)}`;
  return `from about ${isoDate(likely)} (${isoDate(early)} to ${isoDate(late)})`;
}

function groundsWords({ units }: ResolvedPlan, { growth, room, meantFor, stages }: CropForecast): string {
  const grounds = [
    ...(stages[0]?.isSeen ? ['what was seen to begin'] : []),
    ...(growth ? [`the growth of ${bagsWords(growth.bags)} (${growthWords(growth.mean, units)} a day)`] : []),
    ...(room
      ? [
          `the room (${temperature(room.mean, units, 1)}; the stages are taken to be meant for ${temperature(meantFor, units, 1)})`,
        ]
      : []),
  ];
  return ` from ${list(grounds)}${room ? '' : '; the room was not logged'}`;
}

/** What the forecasts assume. */
export function forecastAssumptions({ units }: ResolvedPlan): string {
  const [zero, five, ten] = [0, 5, 10].map((celsius) => temperature(celsius, units));
  return (
    'Assumed, Leanward’s starting values: a stage may be a quarter shorter or longer than the plan has it; growth goes ' +
    `with the warmth above ${five} (${zero} to ${ten}), is fastest at ${temperature(28, units)} to ${temperature(30, units)} ` +
    `and stops at ${temperature(35, units)}; growth that reaches the top of its bag climbs no further.`
  );
}
