/**
 * One cell's question, what to burn, and the score of any answer to it.
 *
 * Always holds: figures of direction and contrast are of the light summed over the
 * cell; unlit, level and dark count for the minutes each pattern burns; a zone's
 * figure is that of its worst bag.
 */

import { itemAt } from '../../shared/assert.ts';
import type { FieldOutput } from '../light/field.ts';
import { FULL, levelOf, type PatternTable } from './patterns.ts';
import {
  type Ask,
  CHANGES,
  CONTRAST,
  contrastExcess,
  DARK,
  DIRECTION,
  darkExcess,
  directionExcess,
  ENERGY,
  isUnlit,
  LENGTH,
  LEVEL,
  levelExcess,
  NUMBERS,
  OVERLOAD,
  PATTERNS,
  UNLIT,
} from './score.ts';

export interface AskedZone {
  readonly ask: Ask;
  readonly table: PatternTable;
  /** For each of the table's outputs its position in the cluster. */
  readonly at: readonly number[];
  /** Set to look only at whether the zone is lit, not at how it is drawn. */
  readonly onlyLight?: boolean;
  /** What has been worked out from ask and table alone. */
  readonly memo: ZoneMemo;
}

/** Filled when first wanted. */
interface ZoneMemo {
  costs?: Float64Array;
  /** Least direction and contrast excess by the minute that any mixture of two patterns can have. */
  least?: readonly [direction: number, contrast: number];
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
  /** What may burn at once: positions of outputs in the cluster, and their watts together. */
  readonly limits: readonly { readonly outputs: readonly number[]; readonly watts: number }[];
}

/** One pattern (a digit an output) and how long it burns. */
export interface Part {
  readonly minutes: number;
  readonly digits: readonly number[];
}

/** The pattern number of a zone's table that a cluster's digits amount to. */
export function patternOf(zone: AskedZone, digits: readonly number[]): number {
  let pattern = 0;
  for (let i = zone.at.length - 1; i >= 0; i--)
    pattern = pattern * itemAt(zone.table.radix, i) + itemAt(digits, itemAt(zone.at, i));
  return pattern;
}

/** Score of parts burnt one after the other. */
export function scoreParts(problem: Problem, parts: readonly Part[]): Float64Array {
  const score = new Float64Array(LENGTH);
  for (const zone of problem.zones) addZone(score, zone, parts, problem.minutes);
  addOutputs(score, problem, parts);
  return score;
}

function addZone(score: Float64Array, zone: AskedZone, parts: readonly Part[], minutes: number): void {
  const { table, ask } = zone;
  if (table.bags === 0) return;
  const patterns = parts.map((part) => patternOf(zone, part.digits));
  parts.forEach((part, n) => {
    addSteady(score, table, ask, itemAt(patterns, n), part.minutes);
  });
  if (ask.kind === 'dark' || zone.onlyLight) return;
  const row = new Float64Array(table.columns);
  let [direction, contrast] = [0, 0];
  for (let bag = 0; bag < table.bags; bag++) {
    row.fill(0);
    parts.forEach((part, n) => {
      const at = (itemAt(patterns, n) * table.bags + bag) * table.columns;
      for (let i = 0; i < table.columns; i++)
        row[i] = itemAt(row, i) + part.minutes * itemAt(table.sums, at + i);
    });
    if (ask.side) direction = Math.max(direction, directionExcess(row, 0, ask.side));
    contrast = Math.max(contrast, contrastExcess(row, 0, ask));
  }
  score[DIRECTION] = itemAt(score, DIRECTION) + direction * minutes;
  score[CONTRAST] = itemAt(score, CONTRAST) + contrast * minutes;
}

/** Adds what a pattern costs by the minute: unlit, level and dark. */
function addSteady(
  score: Float64Array,
  table: PatternTable,
  ask: Ask,
  pattern: number,
  minutes: number,
): void {
  const costs = steadyCosts(table, ask, pattern);
  for (const part of [UNLIT, LEVEL, DARK]) score[part] = itemAt(score, part) + minutes * itemAt(costs, part);
}

/** What a pattern costs a zone by the minute, whatever burns before or after: unlit, level and dark. */
export function steadyCosts(table: PatternTable, ask: Ask, pattern: number): Float64Array {
  const costs = new Float64Array(LENGTH);
  if (table.bags === 0) return costs;
  const [lowest, highest] = levelsOf(table, pattern);
  if (ask.kind === 'dark') {
    costs[DARK] = darkExcess(highest);
    return costs;
  }
  if (isUnlit(lowest, ask.low)) costs[UNLIT] = 1;
  costs[LEVEL] = Math.max(levelExcess(lowest, ask.low, ask.high), levelExcess(highest, ask.low, ask.high));
  return costs;
}

/** Level of the dimmest and of the brightest bag under a pattern. */
function levelsOf(table: PatternTable, pattern: number): readonly [number, number] {
  let [lowest, highest] = [Number.POSITIVE_INFINITY, 0];
  for (let bag = 0; bag < table.bags; bag++) {
    const level = itemAt(table.levels, pattern * table.bags + bag);
    if (level < lowest) lowest = level;
    if (level > highest) highest = level;
  }
  return [lowest, highest];
}

/** Energy (sixteenths of a milliwatt-minute) and numbers of one output at a digit for some minutes. */
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
  score[PATTERNS] = itemAt(score, PATTERNS) + parts.length;
  for (const part of parts) {
    score[OVERLOAD] = itemAt(score, OVERLOAD) + overload(problem, part.digits) * part.minutes;
    part.digits.forEach((digit, index) => {
      const { energy, number } = outputCost(problem, index, digit);
      score[ENERGY] = itemAt(score, ENERGY) + energy * part.minutes;
      score[NUMBERS] = itemAt(score, NUMBERS) + number * part.minutes;
      if (digit !== before[index]) score[CHANGES] = itemAt(score, CHANGES) + 1;
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
      sum +=
        (itemAt(problem.outputs, index).watts *
          levelOf(itemAt(digits, index), itemAt(problem.radix, index))) /
        FULL;
    }
    excess += Math.max(0, Math.ceil(sum - watts - 1e-6));
  }
  return excess;
}

/** Per-minute score of every pattern of one zone, burnt alone. */
export function zoneCosts(zone: AskedZone): Float64Array {
  zone.memo.costs ??= allCosts(zone);
  return zone.memo.costs;
}

function allCosts(zone: AskedZone): Float64Array {
  const { table, ask } = zone;
  const costs = new Float64Array(table.size * LENGTH);
  const one = new Float64Array(LENGTH);
  for (let pattern = 0; pattern < table.size; pattern++) {
    one.fill(0);
    addSteady(one, table, ask, pattern, 1);
    if (ask.kind === 'lit' && !zone.onlyLight) addShape(one, table, ask, pattern);
    costs.set(one, pattern * LENGTH);
  }
  return costs;
}

function addShape(one: Float64Array, table: PatternTable, ask: Ask & { kind: 'lit' }, pattern: number): void {
  for (let bag = 0; bag < table.bags; bag++) {
    const at = (pattern * table.bags + bag) * table.columns;
    if (ask.side)
      one[DIRECTION] = Math.max(itemAt(one, DIRECTION), directionExcess(table.sums, at, ask.side));
    one[CONTRAST] = Math.max(itemAt(one, CONTRAST), contrastExcess(table.sums, at, ask));
  }
}
