/**
 * How fast growth really bends here, from the lean angles the grower measured.
 *
 * Always holds: one number is fitted, the factor on the model's bending rate;
 * with too few measurements, or none that tell, that is said and no number
 * given; an uncertainty always comes with the number.
 */

import { studentPoint } from '../crop/intervals.ts';

/** One measured angle beside what the model says. */
export interface MeasuredLean {
  /** Lean from the vertical, degrees. */
  readonly angleDeg: number;
  /** The model's angle for that bag and day when its bending rate is multiplied by `factor`. */
  readonly predict: (factor: number) => number;
}

export type Fit =
  | {
      readonly ok: true;
      /** Multiplies the bending rate of the plan. */
      readonly factor: number;
      /** 95 % interval of the factor. */
      readonly low: number;
      readonly high: number;
      readonly count: number;
      /** Scatter of the measurements about the model, degrees. */
      readonly scatterDeg: number;
    }
  | { readonly ok: false; readonly count: number; readonly why: 'too few' | 'tell nothing' };

/** Below this a scatter cannot be told from luck. */
const FEWEST = 4;
/** How well an angle is read off a bag, degrees: the scatter is never taken as less (assumed). */
const READING_DEG = 3;
const SMALLEST = 0.05;
const LARGEST = 20;

/** Fits the factor by least squares. */
export function fitBendingRate(measured: readonly MeasuredLean[]): Fit {
  const count = measured.length;
  if (count < FEWEST) return { ok: false, count, why: 'too few' };
  const cost = (logFactor: number): number => squares(measured, Math.exp(logFactor));
  const best = lowest(cost, Math.log(SMALLEST), Math.log(LARGEST));
  const factor = Math.exp(best);
  const scatterDeg = Math.max(READING_DEG, Math.sqrt(squares(measured, factor) / (count - 1)));
  const slope = sensitivity(measured, best);
  // A factor at the edge, or one that moves no angle, is not a finding.
  const atEdge = factor < SMALLEST * 1.05 || factor > LARGEST / 1.05;
  if (slope < 1e-6 || atEdge) return { ok: false, count, why: 'tell nothing' };
  const spread = (studentPoint(count - 1) * scatterDeg) / slope;
  return {
    ...{ ok: true, factor, count, scatterDeg },
    low: Math.max(SMALLEST, factor * Math.exp(-spread)),
    high: Math.min(LARGEST, factor * Math.exp(spread)),
  };
}

function squares(measured: readonly MeasuredLean[], factor: number): number {
  return measured.reduce((sum, one) => sum + (one.angleDeg - one.predict(factor)) ** 2, 0);
}

/** Root of the summed squared changes of the angles with ln(factor). */
function sensitivity(measured: readonly MeasuredLean[], logFactor: number): number {
  const step = 0.02;
  const up = Math.exp(logFactor + step);
  const down = Math.exp(logFactor - step);
  const sum = measured.reduce(
    (total, one) => total + ((one.predict(up) - one.predict(down)) / (2 * step)) ** 2,
    0,
  );
  return Math.sqrt(sum);
}

/** Where a function is least: a coarse look, then golden sections around the best of it. */
function lowest(cost: (at: number) => number, from: number, until: number): number {
  const steps = 48;
  const at = (i: number): number => from + ((until - from) * i) / steps;
  let best = 0;
  let least = Number.POSITIVE_INFINITY;
  for (let i = 0; i <= steps; i++) {
    const here = cost(at(i));
    if (here < least) [best, least] = [i, here];
  }
  return golden(cost, at(Math.max(best - 1, 0)), at(Math.min(best + 1, steps)));
}

function golden(cost: (at: number) => number, from: number, until: number): number {
  const ratio = (Math.sqrt(5) - 1) / 2;
  let [low, high] = [from, until];
  for (let round = 0; round < 40; round++) {
    const left = high - ratio * (high - low);
    const right = low + ratio * (high - low);
    if (cost(left) < cost(right)) high = right;
    else low = left;
  }
  return (low + high) / 2;
}
