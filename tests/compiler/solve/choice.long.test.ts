/**
 * The choice of outputs against brute force and against a solver that knows nothing of it.
 */

import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { lookCost } from '../../../compiler/solve/look.ts';
import { bestPair, HOUR, halves, splitsOf } from '../../../compiler/solve/pairs.ts';
import { patternCount } from '../../../compiler/solve/patterns.ts';
import { outputCost, type Problem, patternOf, scoreParts } from '../../../compiler/solve/problem.ts';
import {
  CHANGES,
  compareScores,
  ENERGY,
  isMet,
  LENGTH,
  NUMBERS,
  PATTERNS,
  UNLIT,
  UNMET,
  WANTS,
} from '../../../compiler/solve/score.ts';
import { bestPattern } from '../../../compiler/solve/single.ts';
import { solve } from '../../../compiler/solve/solve.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type LinearSolver, loadSolver, PINNED } from './highs.ts';
import { makeQuestion, questions, slowScore } from './problems.ts';

const SEED = { seed: 4 };

/** Every setting of all outputs. */
function everyPattern({ radix }: Problem): number[][] {
  return radix.reduce<number[][]>(
    (all, levels) => all.flatMap((digits) => Array.from({ length: levels }, (_, d) => [...digits, d])),
    [[]],
  );
}

const single = (problem: Problem, digits: readonly number[]): Float64Array =>
  scoreParts(problem, [{ minutes: problem.minutes, digits }]);

function bruteSingle(problem: Problem): Float64Array {
  return everyPattern(problem)
    .map((digits) => single(problem, digits))
    .reduce((best, score) => (compareScores(score, 0, best, 0) < 0 ? score : best));
}

const bestSingle = (problem: Problem): Float64Array => single(problem, bestPattern(problem).digits);

describe('the best single pattern', () => {
  it('is that of brute force over all patterns of up to 8 relays', () => {
    fc.assert(
      fc.property(questions(8), (seed) => {
        const { problem } = makeQuestion(seed);
        expect([...bestSingle(problem)]).toEqual([...bruteSingle(problem)]);
      }),
      { ...SEED, numRuns: 120 },
    );
  });
  it('is that of brute force for one zone with up to three outputs dimmed in 17 levels', () => {
    fc.assert(
      fc.property(questions(3, true), (seed) => {
        const { problem } = makeQuestion({ ...seed, zones: 1 });
        expect([...bestSingle(problem)]).toEqual([...bruteSingle(problem)]);
      }),
      { ...SEED, numRuns: 25 },
    );
  });
  it('is scored as the field says, worked out without tables', () => {
    fc.assert(
      fc.property(questions(4, true), (seed) => {
        const question = makeQuestion(seed);
        const { parts, score } = solve(question.problem);
        expect([...score.slice(UNLIT, UNMET)]).toEqual(slowScore(question, parts));
      }),
      { ...SEED, numRuns: 40 },
    );
  });
  it('never gets worse by a lamp more (one that may stay off)', () => {
    fc.assert(
      fc.property(questions(6), (seed) => {
        fc.pre(seed.lamps.length > 1);
        const all = bestSingle(makeQuestion(seed).problem);
        const fewer = bestSingle(makeQuestion({ ...seed, lamps: seed.lamps.slice(0, -1) }).problem);
        expect(compareScores(all.fill(0, PATTERNS), 0, fewer.fill(0, PATTERNS), 0)).toBeLessThanOrEqual(0);
      }),
      { ...SEED, numRuns: 60 },
    );
  });
});

it('every part of a score has its want in words', () => expect(WANTS).toHaveLength(LENGTH));

it('a second pattern must halve something: 6 steps to 4 is not worth switching for, 6 to 3 is', () => {
  const score = (...parts: number[]): number[] => [0, 0, ...parts, 0, 0, 0, 0];
  expect(halves(score(0, 4), score(0, 6))).toBe(false);
  expect(halves(score(0, 3), score(0, 6))).toBe(true);
  expect(halves(score(8, 0), score(9, 6))).toBe(true);
  expect(halves(score(10, 0), score(9, 6))).toBe(false);
  expect(halves(score(0, 0), score(0, 0))).toBe(false);
  // The neighbours' dark is a reason too.
  expect(halves(score(0, 0, 0, 1), score(0, 0, 0, 12))).toBe(true);
});

describe('the best pair of patterns', () => {
  /** Whole hours first; shorter parts only where they meet everything and no hours do. */
  function brutePair(problem: Problem, alone: Float64Array): Float64Array | undefined {
    const long = bruteOf(problem, splitsOf(problem.minutes, HOUR), (score) => halves(score, alone));
    if (long !== undefined && isMet(long)) return long;
    return bruteOf(problem, splitsOf(problem.minutes, problem.slot), isMet) ?? long;
  }
  /** Missing light of all bags under a pattern, by the level alone: what a mixture must not add to. */
  function lack(problem: Problem, digits: readonly number[]): number {
    let sum = 0;
    for (const zone of problem.zones) {
      if (zone.ask.kind === 'dark') continue;
      const floor = Math.max(500, zone.ask.low / 4);
      for (const level of zone.light.of(patternOf(zone, digits)).levels)
        sum += Math.min(10, Math.ceil(Math.max(0, floor - level) / (floor / 10)));
    }
    return sum;
  }
  function bruteOf(
    problem: Problem,
    splits: readonly number[],
    worth: (score: Float64Array) => boolean,
  ): Float64Array | undefined {
    const all = everyPattern(problem);
    const least = Math.min(...all.map((digits) => lack(problem, digits)));
    const patterns = all.filter((digits) => lack(problem, digits) === least);
    let best: Float64Array | undefined;
    for (let a = 0; a < patterns.length; a++) {
      for (let b = 0; b < patterns.length; b++) {
        // Which of the two burns first is settled by their order; trying both must find nothing better unmet.
        if (number(itemAt(patterns, a), problem) >= number(itemAt(patterns, b), problem)) continue;
        for (const minutes of splits) {
          const score = scoreParts(problem, [
            { minutes, digits: itemAt(patterns, a) },
            { minutes: problem.minutes - minutes, digits: itemAt(patterns, b) },
          ]);
          if (!worth(score)) continue;
          if (best === undefined || compareScores(score, 0, best, 0) < 0) best = score;
        }
      }
    }
    return best;
  }
  /** Patterns count with the first output lowest. */
  const number = (digits: readonly number[], { radix }: Problem): number =>
    digits.reduceRight((sum, digit, n) => sum * itemAt(radix, n) + digit, 0);

  it('is that of brute force over all pairs and splits', () => {
    let taken = 0;
    fc.assert(
      fc.property(questions(5), (seed) => {
        const { problem } = makeQuestion(seed);
        const alone = bestSingle(problem);
        const found = bestPair(problem, alone)?.score;
        const brute = brutePair(problem, alone);
        expect(found === undefined ? undefined : [...found]).toEqual(
          brute === undefined ? undefined : [...brute],
        );
        if (found) taken++;
      }),
      { ...SEED, numRuns: 150 },
    );
    expect(taken).toBeGreaterThanOrEqual(3);
  });
  it('also of 8 outputs', () => {
    fc.assert(
      fc.property(questions(8), (seed) => {
        const { problem } = makeQuestion(seed);
        const short = { ...problem, minutes: 45 };
        const alone = bestSingle(short);
        const found = bestPair(short, alone)?.score;
        const brute = brutePair(short, alone);
        expect(found === undefined ? undefined : [...found]).toEqual(
          brute === undefined ? undefined : [...brute],
        );
      }),
      { ...SEED, numRuns: 6 },
    );
  });
});

describe('a solver that knows nothing of it', () => {
  let highs: LinearSolver;
  beforeAll(async () => {
    highs = await loadSolver();
  });

  /** Every zone and output as a table of costs over the settings of the outputs it depends on. */
  function tablesOf(problem: Problem): { vars: readonly number[]; cost: Float64Array[] }[] {
    const zones = problem.zones.map((zone) => {
      const size = patternCount(zone.at.map((position) => itemAt(problem.radix, position)));
      return { vars: zone.at, cost: Array.from({ length: size }, (_, pattern) => lookCost(zone, pattern)) };
    });
    const outputs = problem.outputs.map((_, index) => ({
      vars: [index],
      cost: Array.from({ length: itemAt(problem.radix, index) }, (_n, digit) => {
        const cost = new Float64Array(LENGTH);
        const { energy, number } = outputCost(problem, index, digit);
        cost[CHANGES] = digit === problem.before[index] ? 0 : 1;
        cost[ENERGY] = energy;
        cost[NUMBERS] = number;
        return cost;
      }),
    }));
    return [...zones, ...outputs];
  }

  /** One part of the score by the minute after the other minimised over all patterns, the parts before it held; as a mixed-integer program. */
  function optimum(problem: Problem): number[] {
    const tables = tablesOf(problem);
    const rows: string[] = [];
    const names = tables.map(({ vars, cost }, f) => {
      const own = cost.map((_, s) => `y${f}_${s}`);
      rows.push(`${own.join(' + ')} = 1`);
      vars.forEach((v, k) => {
        const step = vars.slice(0, k).reduce((product, w) => product * itemAt(problem.radix, w), 1);
        const on = own.filter((_, s) => Math.floor(s / step) % 2 === 1);
        rows.push(`${on.join(' + ')} - x${v} = 0`);
      });
      return own;
    });
    const held: number[] = [];
    for (let part = 0; part < LENGTH; part++) {
      const terms = tables.flatMap(({ cost }, f) =>
        itemAt(names, f).flatMap((name, s) => {
          const value = itemAt(itemAt(cost, s), part);
          return value > 0 ? [`${value} ${name}`] : [];
        }),
      );
      if (terms.length === 0) {
        held.push(0);
        continue;
      }
      const text = [
        'Minimize',
        ` obj: ${terms.join(' + ')}`,
        'Subject To',
        ...rows.map((row, n) => ` r${n}: ${row}`),
        'Binary',
        problem.radix.map((_, n) => ` x${n}`).join(''),
        'End',
      ].join('\n');
      const solved = highs.solve(text, PINNED);
      expect(solved.Status).toBe('Optimal');
      held.push(Math.round(solved.ObjectiveValue));
      rows.push(`${terms.join(' + ')} <= ${Math.round(solved.ObjectiveValue)}`);
    }
    return held;
  }

  it('finds the same optimum on 50 racks (HiGHS, mixed-integer)', () => {
    fc.assert(
      fc.property(questions(6), (seed) => {
        const { problem } = makeQuestion(seed);
        const best = [...single({ ...problem, minutes: 1 }, bestPattern(problem).digits)];
        best[PATTERNS] = 0;
        expect(optimum(problem).slice(0, NUMBERS)).toEqual(best.slice(0, NUMBERS));
      }),
      { ...SEED, numRuns: 50 },
    );
  });
});

it('a pattern’s number is the same digit by digit', () => {
  fc.assert(
    fc.property(questions(6, true), (seed) => {
      const { problem } = makeQuestion(seed);
      for (const zone of problem.zones) {
        const full = patternOf(
          zone,
          problem.radix.map((radix) => radix - 1),
        );
        const all = zone.at.map((position) => itemAt(problem.radix, position));
        expect(full).toBe(patternCount(all) - 1);
      }
    }),
    { ...SEED, numRuns: 20 },
  );
});
