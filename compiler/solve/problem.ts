/**
 * One question, what to burn, and the score of any answer to it.
 *
 * Always holds: an answer's score depends on nothing but the question; parts burn one
 * after the other and fill the minutes.
 */

import { itemAt } from '../../shared/assert.ts';
import type { FieldOutput } from '../light/field.ts';
import { addZoneCost, lookCost } from './look.ts';
import { FULL, levelOf, type PatternLight } from './patterns.ts';
import { type Ask, CHANGES, ENERGY, LENGTH, NUMBERS, OVERLOAD, PATTERNS } from './score.ts';

/** What the choice needs to know of a zone's light (see `ZoneLight`). */
interface LightOfZone {
  readonly bags: number;
  readonly columns: number;
  readonly room: Float64Array;
  of(pattern: number): PatternLight;
}

export interface AskedZone {
  readonly ask: Ask;
  readonly light: LightOfZone;
  /** Positions (in the question) of the outputs that count for it, and what a digit of each adds to the pattern's number. */
  readonly at: readonly number[];
  readonly weights: readonly number[];
  /** What outputs that are held fixed add to the number. */
  readonly base: number;
  /** Positions of the zone's own outputs. */
  readonly own: readonly number[];
  /** What has been worked out from ask and light alone. */
  readonly memo: ZoneMemo;
}

/** Filled when first wanted. */
export interface ZoneMemo {
  readonly id: number;
  readonly costs: Map<number, Float64Array>;
  /** Answers of the zone's own outputs to what burns around it, by all that they depend on. */
  readonly responses: Map<string, readonly number[]>;
  /** Its outputs' own parts in turn, likewise; undefined where one pattern serves as well. */
  readonly pairs: Map<string, readonly Part[] | undefined>;
}

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

/** One pattern (a digit an output) and how long it burns. */
export interface Part {
  readonly minutes: number;
  readonly digits: readonly number[];
}

/** Parts and their score. */
export interface Answer {
  readonly parts: readonly Part[];
  readonly score: Float64Array;
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
export const answerOf = (problem: Problem, parts: readonly Part[]): Answer => ({
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

/** Energy (sixteenths of a milliwatt-minute) and numbers of one output at a digit for a minute. */
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
    number: level > 0 ? (output.controller * 256 + output.number) * (level === FULL ? 1 : 2) : 0,
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
