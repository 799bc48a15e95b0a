/**
 * Costs that depend on a few outputs, and the exact best of their sum.
 *
 * Always holds: outputs are eliminated one by one, each time keeping for every
 * setting of the outputs it touches its best own level, so the result is the best
 * of all patterns; scores are vectors compared part by part, which addition respects.
 */

import { compareScores, LENGTH } from './score.ts';

/** A cost for every setting of some outputs; the first output's digit counts fastest. */
export interface Factor {
  /** Variables (positions in the cluster), ascending. */
  readonly vars: readonly number[];
  /** One score a setting, end to end. */
  readonly cost: Float64Array;
}

/** Most settings one step of the elimination may look at. */
export const WIDEST = 1 << 14;

/** The best digit of every variable, and its score; undefined when some step would be too wide. */
export function eliminate(
  radix: readonly number[],
  factors: readonly Factor[],
): { readonly digits: number[]; readonly score: Float64Array } | undefined {
  let left = [...factors];
  const remaining = new Set(radix.map((_, index) => index));
  const steps: Step[] = [];
  while (remaining.size > 0) {
    const next = cheapest(remaining, left, radix);
    if (next.width > WIDEST) return undefined;
    const touching = left.filter((factor) => factor.vars.includes(next.variable));
    const step = reduce(next.variable, touching, radix);
    left = [...left.filter((factor) => !touching.includes(factor)), step.rest];
    steps.push(step);
    remaining.delete(next.variable);
  }
  const score = new Float64Array(LENGTH);
  for (const factor of left) addTo(score, 0, factor.cost, 0);
  return { digits: backward(steps, radix), score };
}

interface Step {
  readonly variable: number;
  readonly rest: Factor;
  /** Best digit of the variable for each setting of `rest.vars`. */
  readonly best: Uint8Array;
}

/** The variable whose elimination looks at the fewest settings; the lowest of equals. */
function cheapest(remaining: ReadonlySet<number>, factors: readonly Factor[], radix: readonly number[]) {
  let found = { variable: -1, width: Number.POSITIVE_INFINITY };
  for (const variable of remaining) {
    const vars = scope(variable, factors);
    const width = vars.reduce((size, v) => size * radix[v]!, radix[variable]!);
    if (width < found.width) found = { variable, width };
  }
  return found;
}

/** The other variables a variable meets in some factor, ascending. */
function scope(variable: number, factors: readonly Factor[]): number[] {
  const vars = new Set<number>();
  for (const factor of factors) {
    if (factor.vars.includes(variable)) for (const v of factor.vars) vars.add(v);
  }
  vars.delete(variable);
  return [...vars].sort((a, b) => a - b);
}

function reduce(variable: number, touching: readonly Factor[], radix: readonly number[]): Step {
  const vars = scope(variable, touching);
  const size = vars.reduce((product, v) => product * radix[v]!, 1);
  const cost = new Float64Array(size * LENGTH);
  const best = new Uint8Array(size);
  const digits = radix.map(() => 0);
  const trial = new Float64Array(LENGTH);
  for (let setting = 0; setting < size; setting++) {
    spread(setting, vars, radix, digits);
    for (let digit = 0; digit < radix[variable]!; digit++) {
      digits[variable] = digit;
      trial.fill(0);
      for (const factor of touching) addTo(trial, 0, factor.cost, settingOf(factor.vars, radix, digits));
      if (digit > 0 && compareScores(trial, 0, cost, setting * LENGTH) >= 0) continue;
      cost.set(trial, setting * LENGTH);
      best[setting] = digit;
    }
  }
  return { variable, rest: { vars, cost }, best };
}

function addTo(sum: Float64Array, at: number, cost: Float64Array, setting: number): void {
  for (let i = 0; i < LENGTH; i++) sum[at + i]! += cost[setting * LENGTH + i]!;
}

/** Writes the digits of a setting of `vars` into `digits`. */
export function spread(
  setting: number,
  vars: readonly number[],
  radix: readonly number[],
  digits: number[],
): void {
  let rest = setting;
  for (const v of vars) {
    digits[v] = rest % radix[v]!;
    rest = Math.floor(rest / radix[v]!);
  }
}

/** The number of the setting that `vars` have in `digits`. */
export function settingOf(
  vars: readonly number[],
  radix: readonly number[],
  digits: readonly number[],
): number {
  let setting = 0;
  for (let i = vars.length - 1; i >= 0; i--) setting = setting * radix[vars[i]!]! + digits[vars[i]!]!;
  return setting;
}

function backward(steps: readonly Step[], radix: readonly number[]): number[] {
  const digits = radix.map(() => 0);
  for (const { variable, rest, best } of [...steps].reverse()) {
    digits[variable] = best[settingOf(rest.vars, radix, digits)]!;
  }
  return digits;
}
