/**
 * When stages and the harvest are likely to come, from what was seen to begin,
 * the heights and the room as it was logged.
 *
 * Always holds: an estimate, with an earliest and a latest day; none where no
 * beginning was seen and no heights tell a rate. How growth depends on warmth,
 * and how far a stage's length may be off, is assumed and said so.
 */

import { blockHeight } from '../../../compiler/plan/block-height.ts';
import { controllerOfZone } from '../../../compiler/plan/on-the-rack.ts';
import type { BatchZone, ResolvedPlan, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { bandOfStage } from '../../../compiler/plan/room-band.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type BagLife, placeOn } from '../bags/lives.ts';
import { type BagGrowth, begunStage, growthOf } from './growth.ts';
import { meanInterval, type Sample, sampleOf } from './intervals.ts';

/** A day that is likely, and between which it lies. */
export interface LikelyDay {
  readonly early: CivilDay;
  readonly likely: CivilDay;
  readonly late: CivilDay;
}

export interface StageAhead extends LikelyDay {
  readonly stage: string;
  /** It was seen to begin: then all three days are that day. */
  readonly isSeen: boolean;
}

export interface CropForecast {
  /** Index into the plan's batches. */
  readonly batch: number;
  /** Indices into its zones. */
  readonly zones: readonly number[];
  readonly bags: number;
  /** From the last stage that was seen to begin on; the first of them is that one where one was. */
  readonly stages: readonly StageAhead[];
  /** When the regime's harvest opens; undefined where the plan has none. */
  readonly harvest: LikelyDay | undefined;
  /** mm a day, of the bags that stand there. */
  readonly growth: Sample | undefined;
  /** Mean of the room over its logged days since the stage began, and for what the first of the stages is meant, °C. */
  readonly room: { readonly mean: number; readonly days: number } | undefined;
  readonly meantFor: number;
}

/** Mean temperature of the room, °C, by controller (name) and day. */
export type RoomMeans = ReadonlyMap<string, ReadonlyMap<number, number>>;

/** The means of reviewed days. */
export function roomMeans(
  days: readonly { readonly controller: string; readonly day: CivilDay; readonly mean: number }[],
): RoomMeans {
  const means = new Map<string, Map<number, number>>();
  for (const { controller, day, mean } of days) {
    means.set(controller, (means.get(controller) ?? new Map<number, number>()).set(day, mean));
  }
  return means;
}

/** A stage's length may be a quarter off either way: 21 to 35 days about 28 (a starting value, low confidence). */
const SHORTEST = 0.75;
const LONGEST = 1.25;
/** Growth in proportion to the warmth above this, °C: 5 survives by Du et al.; that growth begins there is assumed. */
const BASES = [0, 5, 10] as const;
const LIKELY_BASE = 5;
/** Fastest from here on (25–30 best by the same book; the middle is assumed), and none above 35 (common practice). */
const BEST_CELSIUS = 28;
const SLOWS_CELSIUS = 30;
const STOPS_CELSIUS = 35;
/** Where a plan keeps no room, its stages are taken to be meant for about 70 °F (a starting value). */
const MEANT_CELSIUS = 21;
/** The room of days to come is taken to be that of so many days before. */
const LATELY_DAYS = 14;
/** No forecast reaches further, days. */
export const FURTHEST_DAYS = 400;

/** The forecasts of all batches that still stand, by zones that go through the same. */
export function cropForecasts(
  plan: ResolvedPlan,
  lives: readonly BagLife[],
  rooms: RoomMeans,
  today: CivilDay,
): CropForecast[] {
  return plan.batches.flatMap((batch, index) => {
    const alike = new Map<string, BatchZone[]>();
    for (const stay of batch.zones) {
      const key = JSON.stringify(
        stay.stages.map(({ name, from, regular, keep }) => [name, from, regular, keep]),
      );
      alike.set(key, [...(alike.get(key) ?? []), stay]);
    }
    return [...alike.values()].flatMap((stays) => {
      const zones = stays.map(({ zone }) => zone);
      const standing = lives.filter((life) => {
        const zone = placeOn(life, today)?.zone;
        return life.batch === index && zone !== undefined && zones.includes(zone);
      });
      const [stay] = stays;
      if (!stay || standing.length === 0) return [];
      return forecastOf({ plan, rooms, today, standing, stay }, index, zones) ?? [];
    });
  });
}

interface Known {
  readonly plan: ResolvedPlan;
  readonly rooms: RoomMeans;
  readonly today: CivilDay;
  readonly standing: readonly BagLife[];
  readonly stay: BatchZone;
}

function forecastOf(known: Known, batch: number, zones: readonly number[]): CropForecast | undefined {
  const { plan, standing, stay, today } = known;
  const growths = standing.flatMap((life) => growthOf(life) ?? []);
  const growth = sampleOf(growths.map(({ line }) => ({ value: line.slope, bags: 1 })));
  const seen = lastSeen(known);
  if (!seen && !growth) return undefined;
  const stages = stay.stages.filter(({ name }) => name !== 'keep');
  const first = seen ? seen.index : currentStage(stages, today);
  const begins = seen?.day ?? itemAt(stages, first).from;
  const pace = paceOf(known, begins);
  const top = tallAgainst(plan, batch, growths, growth);
  const ahead: StageAhead[] = [];
  let next: LikelyDay = { early: begins, likely: begins, late: begins };
  for (let i = first; i < stages.length; i++) {
    const stage = itemAt(stages, i);
    ahead.push({ stage: stage.name, isSeen: i === first && seen !== undefined, ...next });
    const over = endOf(next, stage.regular.days, pace.in(stage));
    // What grows up to the top of its bag has no more room to climb.
    next = notBefore(i === climbing(stages) && top ? soonest(over, top) : over, today);
  }
  return {
    ...{ batch, zones, bags: standing.length, stages: ahead, growth },
    harvest: harvestOf(known, stages, ahead, pace),
    room: pace.room,
    meantFor: meantFor(plan, itemAt(stages, first)),
  };
}

/** What is not seen yet is not over: no day before today. */
function notBefore({ early, likely, late }: LikelyDay, today: CivilDay): LikelyDay {
  const at = (day: CivilDay): CivilDay => civilDay(Math.max(day, today));
  return { early: at(early), likely: at(likely), late: at(late) };
}

function soonest(a: LikelyDay, b: LikelyDay): LikelyDay {
  const first = (x: CivilDay, y: CivilDay): CivilDay => civilDay(Math.min(x, y));
  return {
    early: first(a.early, b.early),
    likely: first(a.likely, b.likely),
    late: first(a.late, b.late),
  };
}

/** The last stage that was seen to begin in these bags: of several bags the middle one's day. */
function lastSeen({ stay, standing, today }: Known): { index: number; day: CivilDay } | undefined {
  for (let index = stay.stages.length - 1; index >= 0; index--) {
    const { name } = itemAt(stay.stages, index);
    const days = standing
      .flatMap((life) => begunStage(life, name)?.day ?? [])
      .filter((day) => day <= today)
      .sort((a, b) => a - b);
    // A stage has begun for the batch once it has for half of its bags.
    const middle = days[Math.ceil(standing.length / 2) - 1];
    if (middle !== undefined) return { index, day: middle };
  }
  return undefined;
}

/** The stage in which growth gets taller: by its name in the built-in regime, else the second with light (the first makes knobs). */
function climbing(stages: BatchZone['stages']): number {
  const named = stages.findIndex(({ name }) => name === 'climb');
  if (named >= 0) return named;
  const lit = stages.flatMap(({ light }, i) => (light ? [i] : []));
  return lit[1] ?? lit[0] ?? -1;
}

function currentStage(stages: BatchZone['stages'], today: CivilDay): number {
  return Math.max(
    0,
    stages.findLastIndex(({ from }) => from <= today),
  );
}

/** When growth reaches the top of its bags; undefined where no rate tells. */
function tallAgainst(
  plan: ResolvedPlan,
  batch: number,
  growths: readonly BagGrowth[],
  growth: Sample | undefined,
): LikelyDay | undefined {
  if (!growth || !(growth.mean > 0)) return undefined;
  const bag = itemAt(plan.bags, itemAt(plan.batches, batch).bag);
  // The bag's height is that of the bag as it stands, folded and sealed.
  const free = bag.height - blockHeight(bag);
  const band = meanInterval(growth) ?? { low: growth.mean / 2, high: growth.mean * 2 };
  const lasts = growths.flatMap(({ line, heights }) => {
    const day = heights.at(-1)?.[0];
    return day === undefined ? [] : [{ day, mm: line.intercept + line.slope * day }];
  });
  const reach = (rate: number): number => {
    const days = lasts.map(({ day, mm }) => day + Math.max(0, free - mm) / rate);
    return days.reduce((sum, one) => sum + one, 0) / days.length;
  };
  const furthest = Math.max(...lasts.map(({ day }) => day)) + FURTHEST_DAYS;
  const at = (day: number): CivilDay => civilDay(Math.round(Math.min(day, furthest)));
  return {
    early: at(reach(band.high)),
    likely: at(reach(growth.mean)),
    late: band.low > 0 ? at(reach(band.low)) : at(furthest),
  };
}

/** Proportion of a day of some stage that goes by on a day, with growth beginning at so many °C. */
type StagePace = (day: number, base: number) => number;

interface Pace {
  readonly in: (stage: ResolvedStage) => StagePace;
  readonly room: CropForecast['room'];
}

/** What a stage is taken to be meant for: the middle of its band, °C. */
function meantFor(plan: ResolvedPlan, stage: ResolvedStage): number {
  const { low, high } = bandOfStage(plan, stage) ?? { low: MEANT_CELSIUS, high: MEANT_CELSIUS };
  return (low + high) / 2;
}

/** How fast stages go by in the room as it was and, from now on, as it was lately. */
function paceOf({ plan, rooms, today, stay }: Known, begins: CivilDay): Pace {
  const means = rooms.get(itemAt(plan.controllers, controllerOfZone(plan, stay.zone)).name);
  const over = (from: number): number[] =>
    [...(means ?? [])].flatMap(([day, mean]) => (day >= from && day <= today ? [mean] : []));
  const mean = (some: readonly number[]): number => some.reduce((sum, one) => sum + one, 0) / some.length;
  const [since, lately] = [over(begins), over(today - LATELY_DAYS)];
  const usual = lately.length > 0 ? mean(lately) : since.length > 0 ? mean(since) : undefined;
  return {
    in: (stage) => {
      const meant = meantFor(plan, stage);
      return (day, base) => warmth(means?.get(day) ?? usual ?? meant, base) / warmth(meant, base);
    },
    room: since.length === 0 ? undefined : { mean: mean(since), days: since.length },
  };
}

/** How much growth a temperature brings, in no unit of its own. */
function warmth(celsius: number, base: number): number {
  const rising = Math.max(0, Math.min(celsius, BEST_CELSIUS) - base);
  if (celsius <= SLOWS_CELSIUS) return rising;
  return rising * Math.max(0, (STOPS_CELSIUS - celsius) / (STOPS_CELSIUS - SLOWS_CELSIUS));
}

/** When so many days of a stage are over. */
function endOf(begins: LikelyDay, days: number, paceOn: StagePace): LikelyDay {
  const after = (from: CivilDay, share: number, base: number): number => {
    let left = days * share;
    let day = from as number;
    // A hair left over by the arithmetic is no day.
    for (; left > 1e-6 && day < from + FURTHEST_DAYS; day++) left -= paceOn(day, base);
    return day;
  };
  return {
    early: civilDay(Math.min(...BASES.map((base) => after(begins.early, SHORTEST, base)))),
    likely: civilDay(after(begins.likely, 1, LIKELY_BASE)),
    late: civilDay(Math.max(...BASES.map((base) => after(begins.late, LONGEST, base)))),
  };
}

/** When the harvest opens: as far into the stage in which the plan opens it. */
function harvestOf(
  { plan, today }: Known,
  stages: BatchZone['stages'],
  ahead: readonly StageAhead[],
  pace: Pace,
): LikelyDay | undefined {
  const { harvest } = plan.visits;
  if (!harvest) return undefined;
  const within = stages.findLast(({ regular }) => regular.begins <= harvest.from);
  const begins = ahead.find(({ stage }) => stage === within?.name);
  if (!within || !begins) return undefined;
  return notBefore(endOf(begins, harvest.from - within.regular.begins, pace.in(within)), today);
}
