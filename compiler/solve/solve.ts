/**
 * The answer to one question: one pattern where that meets everything, else the best
 * found of one pattern and of two in turn.
 *
 * Always holds: the answer depends on nothing but the question. The best single pattern is
 * exact as `single.ts` says, and up to 64 patterns the best pair; beyond, each zone's own
 * outputs are settled against all they touch.
 */

import { itemAt } from '../../shared/assert.ts';
import type { AskedZone, Group, Part } from './asked.ts';
import { bestPair, halves, splitsOf } from './pairs.ts';
import { patternCount } from './patterns.ts';
import { addZoneParts, answerOf, type CellAnswer, type Problem } from './problem.ts';
import { isMet, LENGTH } from './score.ts';
import { bestPattern, groupsOf, situation } from './single.ts';

/** Most patterns whose pairs are all tried. */
const PAIRS_MOST = 64;

/** The best answer found. */
export function solve(problem: Problem): CellAnswer {
  const { digits, gap } = bestPattern(problem);
  const single: CellAnswer = { ...answerOf(problem, [{ minutes: problem.minutes, digits }]), gap };
  if (isMet(single.score) || splitsOf(problem.minutes, problem.slot).length === 0) return single;
  if (patternCount(problem.radix) <= PAIRS_MOST) return bestPair(problem, single.score) ?? single;
  return groupsOf(problem).reduce((answer, group) => mixedBy(problem, group, answer), single);
}

/** The answer with a group's own outputs burning two patterns in turn, where that halves what it leaves unmet. */
function mixedBy(problem: Problem, group: Group, answer: CellAnswer): CellAnswer {
  const radix = group.own.map((position) => itemAt(problem.radix, position));
  // Under a limit what a group draws is everybody's: it stays at one pattern.
  if (patternCount(radix) > PAIRS_MOST || problem.limits.length > 0) return answer;
  const pair = pairOf(problem, group, itemAt(answer.parts, 0).digits);
  if (pair === undefined) return answer;
  const parts = overlay(answer.parts, group.own, pair);
  const better = halves(localScore(group.touched, parts), localScore(group.touched, answer.parts));
  return better ? { ...answerOf(problem, parts), gap: answer.gap } : answer;
}

/** The group's own best pair while everything else burns as it does, kept with the zone. */
function pairOf(problem: Problem, group: Group, digits: readonly number[]): readonly Part[] | undefined {
  const key = `${problem.minutes}|${problem.slot}|${situation(problem, group, digits)}`;
  const { pairs } = group.zone.memo;
  if (pairs.has(key)) return pairs.get(key);
  const held = frozen(problem, group, digits);
  const before = localScore(held.zones, [{ minutes: problem.minutes, digits: held.digits }]);
  const found = isMet(before) ? undefined : bestPair(held.problem, before)?.parts;
  pairs.set(key, found);
  return found;
}

function localScore(zones: readonly AskedZone[], parts: readonly Part[]): Float64Array {
  const score = new Float64Array(LENGTH);
  for (const zone of zones) addZoneParts(score, zone, parts);
  return score;
}

/** The question that is left to a group while all other outputs burn as they do. */
function frozen(problem: Problem, { own, touched }: Group, digits: readonly number[]) {
  const pick = <T>(list: readonly T[]): T[] => own.map((position) => list[position] as T);
  const zones = touched.map((zone): AskedZone => {
    let { base } = zone;
    const at: number[] = [];
    const weights: number[] = [];
    zone.at.forEach((position, n) => {
      const weight = itemAt(zone.weights, n);
      if (own.includes(position)) {
        at.push(own.indexOf(position));
        weights.push(weight);
      } else base += itemAt(digits, position) * weight;
    });
    return {
      ...zone,
      at,
      weights,
      base,
      own: zone.own.flatMap((p) => (own.includes(p) ? [own.indexOf(p)] : [])),
    };
  });
  const left: Problem = {
    ...problem,
    outputs: pick(problem.outputs),
    radix: pick(problem.radix),
    before: pick(problem.before),
    zones,
  };
  return { problem: left, zones, digits: pick(digits) };
}

/** Parts with some outputs burning other parts of their own meanwhile. */
function overlay(parts: readonly Part[], own: readonly number[], theirs: readonly Part[]): Part[] {
  const ends = (list: readonly Part[]): number[] => {
    let time = 0;
    return list.map(({ minutes }) => (time += minutes));
  };
  const cuts = [...new Set([...ends(parts), ...ends(theirs)])].sort((a, b) => a - b);
  const at = (list: readonly Part[], time: number): Part => {
    const n = ends(list).findIndex((end) => time < end);
    return itemAt(list, n);
  };
  return cuts.map((end, n) => {
    const from = cuts[n - 1] ?? 0;
    const digits = [...at(parts, from).digits];
    const setting = at(theirs, from).digits;
    own.forEach((position, k) => {
      digits[position] = itemAt(setting, k);
    });
    return { minutes: end - from, digits };
  });
}
