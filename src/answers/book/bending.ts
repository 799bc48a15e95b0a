/**
 * The bending rate that the grower's measured leans speak for, against the
 * estimate's own.
 *
 * Always holds: only the rate of bending is fitted (share of growth difference
 * over tip diameter, times growth); everything else of the estimate stays as
 * the plan has it.
 */

import { estimateLean, type LeanEstimate } from '../../../compiler/lean/estimate.ts';
import type { Range, ResolvedGrowth, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { Steered } from '../../../compiler/steer/choose.ts';
import type { Course } from '../../../compiler/steer/treatment.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type Fit, fitBendingRate, type MeasuredLean } from './fit.ts';
import type { Note } from './note.ts';

/** Fits the factor on the plan's bending rate. */
export function bendingRate(plan: ResolvedPlan, steered: Steered, notes: readonly Note[]): Fit {
  const estimates = new Map<string, LeanEstimate | undefined>();
  const estimate = (course: Course, factor: number): LeanEstimate | undefined => {
    const key = `${course.zone} ${course.batch} ${factor}`;
    if (!estimates.has(key)) {
      const scaled = { ...plan, growth: scaledGrowth(plan.growth, factor) };
      estimates.set(key, estimateLean(scaled, course, steered.treatments));
    }
    return estimates.get(key);
  };
  return fitBendingRate(notes.flatMap((note) => measuredOf(plan, steered, note, estimate)));
}

/** A note's angle beside the estimate's for that day; none where the estimate does not reach. */
function measuredOf(
  plan: ResolvedPlan,
  steered: Steered,
  note: Note,
  estimate: (course: Course, factor: number) => LeanEstimate | undefined,
): MeasuredLean[] {
  const course = steered.courses.find(
    (one) =>
      itemAt(plan.zones, one.zone).name === note.zone && itemAt(plan.batches, one.batch).name === note.batch,
  );
  if (!course || note.leanDeg === undefined) return [];
  const angleOn = (factor: number): number | undefined => {
    const found = estimate(course, factor);
    return found?.angle[note.day - found.firstDay]?.mid;
  };
  if (angleOn(1) === undefined) return [];
  return [{ angleDeg: note.leanDeg, predict: (factor) => angleOn(factor) ?? Number.NaN }];
}

/** The middle assumptions alone, bending `factor` times as fast. */
function scaledGrowth({ rate, tip, pull, gravity, lag }: ResolvedGrowth, factor: number): ResolvedGrowth {
  const only = (mid: number): Range => ({ low: mid, mid, high: mid });
  return {
    rate: only(rate.mid),
    tip: only(tip.mid),
    pull: only(pull.mid * factor),
    gravity: only(gravity.mid),
    lag: only(lag.mid),
  };
}

/** The rate with the middle assumptions, degrees a day: share · growth ÷ tip diameter. */
function degreesPerDay({ rate, tip, pull }: ResolvedGrowth): number {
  return ((pull.mid * rate.mid) / tip.mid) * (180 / Math.PI);
}

/** What the fit says, in words. */
export function bendingWords(plan: ResolvedPlan, fit: Fit): string {
  const usual = degreesPerDay(plan.growth);
  if (!fit.ok) {
    const angles = fit.count === 1 ? '1 usable angle' : `${fit.count} usable angles`;
    if (fit.why === 'too few') {
      return `Bending rate: ${angles} so far, too few to tell; the estimate keeps ${usual.toFixed(0)}°/day.`;
    }
    return `Bending rate: ${angles}, but they fit no rate; the estimate keeps ${usual.toFixed(0)}°/day.`;
  }
  const [mid, low, high] = [fit.factor, fit.low, fit.high].map((one) => (one * usual).toFixed(1));
  // The plan takes a share of growth difference, at most 1.
  const shares = [fit.low, fit.factor, fit.high].map((one) =>
    Math.min(1, Math.round(plan.growth.pull.mid * one * 100) / 100),
  );
  return (
    `Bending rate: about ${mid}°/day (95 %: ${low} to ${high}) from ${fit.count} angles; the estimate has ${usual.toFixed(0)}. ` +
    `To use it, write growth: { pull: [${shares.join(', ')}] }.`
  );
}
