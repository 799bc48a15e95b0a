/**
 * Costs that depend on a few outputs, and the exact best of their sum.
 *
 * Always holds: outputs are eliminated one by one, each time keeping for every
 * setting of the outputs it touches its best own level, so the result is the best
 * of all patterns; scores are vectors compared part by part, which addition respects.
 */

import { itemAt } from '../../shared/assert.ts';
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
  const touching = radix.map((): Set<Factor> => new Set());
  const score = new Float64Array(LENGTH);
  const put = (factor: Factor): void => {
    for (const v of factor.vars) itemAt(touching, v).add(factor);
    if (factor.vars.length === 0) addTo(score, 0, factor.cost, 0);
  };
  for (const factor of factors) put(factor);
  const widths = radix.map((_, variable) => widthOf(variable, itemAt(touching, variable), radix));
  const steps: Step[] = [];
  for (const _ of radix) {
    const variable = narrowest(widths);
    if (itemAt(widths, variable) > WIDEST) return undefined;
    const own = [...itemAt(touching, variable)];
    const step = reduce(variable, own, radix);
    for (const factor of own) for (const v of factor.vars) itemAt(touching, v).delete(factor);
    put(step.rest);
    widths[variable] = Number.POSITIVE_INFINITY;
    for (const v of step.rest.vars) widths[v] = widthOf(v, itemAt(touching, v), radix);
    steps.push(step);
  }
  return { digits: backward(steps, radix), score };
}

/** The variable whose elimination looks at the fewest settings; the lowest of equals. */
function narrowest(widths: readonly number[]): number {
  let found = 0;
  for (let v = 1; v < widths.length; v++) if (itemAt(widths, v) < itemAt(widths, found)) found = v;
  return found;
}

/** How many settings eliminating a variable would look at. */
function widthOf(variable: number, touching: Iterable<Factor>, radix: readonly number[]): number {
  return scope(variable, touching).reduce((size, v) => size * itemAt(radix, v), itemAt(radix, variable));
}

interface Step {
  readonly variable: number;
  readonly rest: Factor;
  /** Best digit of the variable for each setting of `rest.vars`. */
  readonly best: Uint8Array;
}

/** The other variables a variable meets in the factors that touch it, ascending. */
function scope(variable: number, touching: Iterable<Factor>): number[] {
  const vars = new Set<number>();
  for (const factor of touching) for (const v of factor.vars) vars.add(v);
  vars.delete(variable);
  return [...vars].sort((a, b) => a - b);
}

function reduce(variable: number, touching: readonly Factor[], radix: readonly number[]): Step {
  const vars = scope(variable, touching);
  const size = vars.reduce((product, v) => product * itemAt(radix, v), 1);
  const cost = new Float64Array(size * LENGTH);
  const best = new Uint8Array(size);
  const digits = radix.map(() => 0);
  const trial = new Float64Array(LENGTH);
  for (let setting = 0; setting < size; setting++) {
    spread(setting, vars, radix, digits);
    for (let digit = 0; digit < itemAt(radix, variable); digit++) {
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
  for (let i = 0; i < LENGTH; i++) sum[at + i] = itemAt(sum, at + i) + itemAt(cost, setting * LENGTH + i);
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
    digits[v] = rest % itemAt(radix, v);
    rest = Math.floor(rest / itemAt(radix, v));
  }
}

/** The number of the setting that `vars` have in `digits`. */
function settingOf(vars: readonly number[], radix: readonly number[], digits: readonly number[]): number {
  let setting = 0;
  for (let i = vars.length - 1; i >= 0; i--)
    setting = setting * itemAt(radix, itemAt(vars, i)) + itemAt(digits, itemAt(vars, i));
  return setting;
}

function backward(steps: readonly Step[], radix: readonly number[]): number[] {
  const digits = radix.map(() => 0);
  for (const { variable, rest, best } of [...steps].reverse()) {
    digits[variable] = itemAt(best, settingOf(rest.vars, radix, digits));
  }
  return digits;
}
