/**
 * Means, shares and differences of few bags, each with the interval that holds
 * the true one with the sureness asked for.
 *
 * Always holds: one observation gives no interval, nor do observations that are
 * all alike (a scale's rounding is no proof that bags do not differ).
 */

/** From low to high. */
export interface Interval {
  readonly low: number;
  readonly high: number;
}

/** What was observed: of one bag, or of `bags` bags at once (their mean). */
export interface Observation {
  readonly value: number;
  readonly bags: number;
}

/** The mean of some bags, and how well it is known. */
export interface Sample {
  readonly mean: number;
  readonly bags: number;
  /** Of each observation, for drawings. */
  readonly values: readonly number[];
  /** Standard error of the mean and its degrees of freedom; undefined where no scatter was seen. */
  readonly error: { readonly ofMean: number; readonly freedom: number } | undefined;
}

/** A share of so many. */
export interface Proportion {
  readonly count: number;
  readonly of: number;
}

/** How sure an interval is where nothing else is said. */
export const USUAL_SURENESS = 0.95;

/**
 * The mean over all bags. Bags observed together count as often as they are, and
 * their mean scatters less by the root of their number; undefined without any.
 */
export function sampleOf(observations: readonly Observation[]): Sample | undefined {
  const bags = observations.reduce((sum, one) => sum + one.bags, 0);
  if (bags === 0) return undefined;
  const mean = observations.reduce((sum, one) => sum + one.value * one.bags, 0) / bags;
  const squares = observations.reduce((sum, one) => sum + one.bags * (one.value - mean) ** 2, 0);
  const freedom = observations.length - 1;
  const scatters = freedom > 0 && squares > (1e-9 * Math.max(1, Math.abs(mean))) ** 2;
  const error = scatters ? { ofMean: Math.sqrt(squares / freedom / bags), freedom } : undefined;
  return { mean, bags, values: observations.map(({ value }) => value), error };
}

/** The interval of a mean, by Student's t. */
export function meanInterval({ mean, error }: Sample, sureness = USUAL_SURENESS): Interval | undefined {
  if (!error) return undefined;
  const half = studentPoint(error.freedom, sureness) * error.ofMean;
  return { low: mean - half, high: mean + half };
}

/**
 * How far the first mean lies above the second, where the two may scatter
 * differently (Welch), with the degrees of freedom of the lesser: Satterthwaite's
 * are too many where a few bags happen to lie close together, and then more
 * seasons of like bags are called different than should be.
 */
export function meanDifference(a: Sample, b: Sample, sureness: number): Interval | undefined {
  if (!a.error || !b.error) return undefined;
  const freedom = Math.min(a.error.freedom, b.error.freedom);
  const half = studentPoint(freedom, sureness) * Math.hypot(a.error.ofMean, b.error.ofMean);
  const difference = a.mean - b.mean;
  return { low: difference - half, high: difference + half };
}

/** The interval of a share by Wilson's score (1927), which is right also for few and for none; undefined of none. */
export function shareInterval({ count, of }: Proportion, sureness = USUAL_SURENESS): Interval | undefined {
  if (of === 0) return undefined;
  const z = normalPoint(sureness);
  const share = count / of;
  const middle = share + (z * z) / (2 * of);
  const half = z * Math.sqrt((share * (1 - share)) / of + (z * z) / (4 * of * of));
  const whole = 1 + (z * z) / of;
  // At none and at all the edge is exact; the arithmetic misses it by a hair.
  return {
    low: count === 0 ? 0 : (middle - half) / whole,
    high: count === of ? 1 : (middle + half) / whole,
  };
}

/** How far the first share lies above the second, from the Wilson intervals of both (Newcombe 1998, his method 10). */
export function shareDifference(a: Proportion, b: Proportion, sureness: number): Interval | undefined {
  const [ia, ib] = [shareInterval(a, sureness), shareInterval(b, sureness)];
  if (!ia || !ib) return undefined;
  const [pa, pb] = [a.count / a.of, b.count / b.of];
  return {
    low: pa - pb - Math.hypot(pa - ia.low, ib.high - pb),
    high: pa - pb + Math.hypot(ia.high - pa, pb - ib.low),
  };
}

/** A straight line through points by least squares; undefined below two different x. */
export interface FittedLine {
  readonly slope: number;
  readonly intercept: number;
  /** Standard error of the slope and its degrees of freedom; undefined of two points, or of points quite in line. */
  readonly error: { readonly ofSlope: number; readonly freedom: number } | undefined;
}

/** Fits a line to points. */
export function lineThrough(points: readonly (readonly [x: number, y: number])[]): FittedLine | undefined {
  const n = points.length;
  const [mx, my] = [0, 1].map((i) => points.reduce((sum, point) => sum + (point[i] ?? 0), 0) / n);
  if (mx === undefined || my === undefined) return undefined;
  const xx = points.reduce((sum, [x]) => sum + (x - mx) ** 2, 0);
  if (!(xx > 0)) return undefined;
  const slope = points.reduce((sum, [x, y]) => sum + (x - mx) * (y - my), 0) / xx;
  const intercept = my - slope * mx;
  const squares = points.reduce((sum, [x, y]) => sum + (y - intercept - slope * x) ** 2, 0);
  const freedom = n - 2;
  const scatters = freedom > 0 && squares > 1e-12;
  return {
    ...{ slope, intercept },
    error: scatters ? { ofSlope: Math.sqrt(squares / freedom / xx), freedom } : undefined,
  };
}

/** The two-sided point of Student's t: within it lies `sureness` of the distribution. `freedom` a whole number from 1. */
export function studentPoint(freedom: number, sureness = USUAL_SURENESS): number {
  return pointWhere((t) => studentWithin(t, freedom), sureness);
}

/** The two-sided point of the normal distribution: 1.96 for 95 %. */
export function normalPoint(sureness = USUAL_SURENESS): number {
  return pointWhere(normalWithin, sureness);
}

/** Where a distribution that grows from 0 holds so much; by halving. */
function pointWhere(within: (at: number) => number, sureness: number): number {
  let [low, high] = [0, 1];
  while (within(high) < sureness) high *= 2;
  for (let round = 0; round < 60; round++) {
    const middle = (low + high) / 2;
    if (within(middle) < sureness) low = middle;
    else high = middle;
  }
  return (low + high) / 2;
}

/** Proportion of Student's t within ±t: finite sums for whole degrees of freedom (Abramowitz & Stegun 26.7.3 and 26.7.4). */
function studentWithin(t: number, freedom: number): number {
  const angle = Math.atan(t / Math.sqrt(freedom));
  const square = Math.cos(angle) ** 2;
  const isOdd = freedom % 2 === 1;
  let term = isOdd ? Math.cos(angle) : 1;
  let sum = freedom === 1 ? 0 : term;
  for (let k = isOdd ? 2 : 1; k <= freedom - 3; k += 2) {
    term *= (square * k) / (k + 1);
    sum += term;
  }
  return isOdd ? (2 / Math.PI) * (angle + Math.sin(angle) * sum) : Math.sin(angle) * sum;
}

/** Proportion of the normal distribution within ±z, by its series (Abramowitz & Stegun 26.2.11). */
function normalWithin(z: number): number {
  let term = z;
  let sum = z;
  for (let k = 3; term > sum * 1e-17; k += 2) {
    term *= (z * z) / k;
    sum += term;
  }
  return 2 * sum * (Math.exp((-z * z) / 2) / Math.sqrt(2 * Math.PI));
}
