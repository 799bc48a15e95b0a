/** The review of the crop for machines: figures in g, mm and days, shares as fractions, days as ISO dates. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { Comparison, SideBySide } from './compare.ts';
import type { CropReview } from './crop.ts';
import type { CropFigures } from './figures.ts';
import type { CropForecast, LikelyDay } from './forecast.ts';
import { type Interval, meanInterval, type Proportion, type Sample, shareInterval } from './intervals.ts';
import { nextTime } from './next-time.ts';

type Json = Readonly<Record<string, unknown>>;

/** All that text and page say. */
export function cropJson(plan: ResolvedPlan, crop: CropReview): Json {
  return {
    until: isoDate(crop.today),
    comparisons: crop.tables.map(tableJson),
    differences: crop.comparisons.map(differenceJson),
    nextTime: nextTime(plan, crop),
    forecasts: crop.forecasts.map((one) => forecastJson(plan, one)),
  };
}

function tableJson({ division, rows }: SideBySide): Json {
  return {
    by: division.factors,
    rows: rows.map(({ label, lives, figures }) => ({
      label,
      bags: lives.map(({ name }) => name),
      ...figuresJson(figures),
    })),
  };
}

function figuresJson(figures: CropFigures): Json {
  const { lost, losses, standing, harvested, leanReached, totalFreshG, totalDryG, weighedAcross } = figures;
  return {
    ...{ standing, harvested, losses, weighedAcross },
    lost: shareJson(lost),
    knobsDays: sampleJson(figures.knobsDays),
    growthMmPerDay: sampleJson(figures.growth),
    leanDeg: sampleJson(figures.leanDeg),
    leanReached: shareJson(leanReached),
    offUprightDeg: sampleJson(figures.offUprightDeg),
    freshG: sampleJson(figures.freshG),
    dryG: sampleJson(figures.dryG),
    efficiency: sampleJson(figures.efficiency),
    dryYield: sampleJson(figures.dryYield),
    isMixAssumed: figures.isMixAssumed,
    totalFreshG: rounded(totalFreshG),
    totalDryG: rounded(totalDryG),
  };
}

function sampleJson(sample: Sample | undefined): Json | null {
  if (!sample) return null;
  return { mean: rounded(sample.mean), bags: sample.bags, ...intervalJson(meanInterval(sample)) };
}

function shareJson(share: Proportion): Json | null {
  return share.of === 0 ? null : { ...share, ...intervalJson(shareInterval(share)) };
}

const intervalJson = (interval: Interval | undefined): Json =>
  interval ? { low: rounded(interval.low), high: rounded(interval.high) } : { low: null, high: null };

function differenceJson({ factors, difference, also, ...rest }: Comparison): Json {
  return { by: factors, ...rest, ...intervalJson(difference), alsoDifferIn: also };
}

function forecastJson(plan: ResolvedPlan, forecast: CropForecast): Json {
  const { batch, zones, bags, stages, harvest, growth, room, meantFor } = forecast;
  return {
    batch: itemAt(plan.batches, batch).name,
    zones: zones.map((zone) => itemAt(plan.zones, zone).name),
    bags,
    stages: stages.map(({ stage, isSeen, ...days }) => ({ stage, isSeen, ...daysJson(days) })),
    harvest: harvest ? daysJson(harvest) : null,
    growthMmPerDay: sampleJson(growth),
    roomC: room ? { mean: rounded(room.mean), days: room.days } : null,
    meantForC: meantFor,
  };
}

const daysJson = ({ early, likely, late }: LikelyDay): Json => ({
  early: isoDate(early),
  likely: isoDate(likely),
  late: isoDate(late),
});

function rounded(value: number): number {
  return Math.round(value * 1000) / 1000;
}
