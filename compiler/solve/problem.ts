/**
 * One question, what to burn, and the score of any answer to it.
 *
 * Always holds: an answer's score depends on nothing but the question; parts burn one
 * after the other and fill the minutes.
 */

import { itemAt } from '../../shared/assert.ts';
import type { FieldOutput } from '../light/field.ts';
import type { AskedZone, Part, Unsettled } from './asked.ts';
import { addZoneCost, lookCost } from './look.ts';
import { FULL, levelOf } from './patterns.ts';
import { CHANGES, ENERGY, LENGTH, NUMBERS, OVERLOAD, PATTERNS } from './score.ts';

export interface Problem {
  readonly minutes: number;
  /** Shortest stretch one pattern may burn, minutes. */
  readonly slot: number;
  readonly outputs: readonly FieldOutput[];
  readonly radix: readonly number[];
  readonly zones: readonly AskedZone[];
  /** Digits burning just before, for counting changes. */
  readonly before: readonly number[];
  /** What may burn at once: positions of outputs in the question, and their watts together. */
  readonly limits: readonly { readonly outputs: readonly number[]; readonly watts: number }[];
}

/** Parts and their score. */
export interface CellAnswer {
  readonly parts: readonly Part[];
  readonly score: Float64Array;
  /** By how much a better single pattern could beat it, where that was not settled. */
  readonly gap?: Unsettled | undefined;
}

/** The pattern number of a zone's light that a question's digits amount to. */
export function patternOf({ at, weights, base }: AskedZone, digits: readonly number[]): number {
  let pattern = base;
  for (let i = 0; i < at.length; i++) pattern += itemAt(digits, itemAt(at, i)) * itemAt(weights, i);
  return pattern;
}

/** Score of parts burnt one after the other. */
export function scoreParts(problem: Problem, parts: readonly Part[]): Float64Array {
  const score = new Float64Array(LENGTH);
  for (const zone of problem.zones) addZoneParts(score, zone, parts);
  addOutputs(score, problem, parts);
  return score;
}

/** Parts with their score. */
export const answerOf = (problem: Problem, parts: readonly Part[]): CellAnswer => ({
  parts,
  score: scoreParts(problem, parts),
});

/** Adds what one zone costs under parts of the question. */
export function addZoneParts(score: Float64Array, zone: AskedZone, parts: readonly Part[]): void {
  const [first] = parts;
  if (first !== undefined && parts.length === 1) {
    const cost = lookCost(zone, patternOf(zone, first.digits));
    for (let i = 0; i < LENGTH; i++) score[i] = itemAt(score, i) + first.minutes * itemAt(cost, i);
    return;
  }
  const own = parts.map(({ digits, minutes }) => ({ pattern: patternOf(zone, digits), minutes }));
  addZoneCost(score, zone, own);
}

/**
 * Energy (sixteenths of a milliwatt-minute) and numbers of one output at a digit for a minute. Numbers
 * count within the question, so that zones alike on whatever outputs have the same answer.
 */
export function outputCost(
  problem: Problem,
  index: number,
  digit: number,
): { energy: number; number: number } {
  const level = levelOf(digit, itemAt(problem.radix, index));
  const output = itemAt(problem.outputs, index);
  const energy = Math.round(output.watts * 1000) * level;
  return {
    energy,
    number: level > 0 ? (index + 1) * (level === FULL ? 1 : 2) : 0,
  };
}

function addOutputs(score: Float64Array, problem: Problem, parts: readonly Part[]): void {
  let before = problem.before;
  const put = (part: number, value: number): void => {
    score[part] = itemAt(score, part) + value;
  };
  put(PATTERNS, parts.length);
  for (const part of parts) {
    put(OVERLOAD, overload(problem, part.digits) * part.minutes);
    part.digits.forEach((digit, index) => {
      const { energy, number } = outputCost(problem, index, digit);
      put(ENERGY, energy * part.minutes);
      put(NUMBERS, number * part.minutes);
      if (digit !== before[index]) put(CHANGES, 1);
    });
    before = part.digits;
  }
}

/** Begun watts by which a pattern exceeds the limits it is under. */
export function overload(problem: Problem, digits: readonly number[]): number {
  let excess = 0;
  for (const { outputs, watts } of problem.limits) {
    let sum = 0;
    for (const index of outputs) {
      const level = levelOf(itemAt(digits, index), itemAt(problem.radix, index));
      sum += (itemAt(problem.outputs, index).watts * level) / FULL;
    }
    excess += Math.max(0, Math.ceil(sum - watts - 1e-6));
  }
  return excess;
}
