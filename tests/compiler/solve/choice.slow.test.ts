/**
 * The choice of outputs against brute force and against a solver that knows nothing of it.
 */

import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { bestPair, drawsBetter, splitsOf } from '../../../compiler/solve/pairs.ts';
import { type Problem, patternOf, scoreParts, zoneCosts } from '../../../compiler/solve/problem.ts';
import { type LinearSolver, PINNED, suggestParts, wholeSlots } from '../../../compiler/solve/program.ts';
import { compareScores, LENGTH, NUMBERS, PATTERNS, UNLIT } from '../../../compiler/solve/score.ts';
import { bestSingle, descend, factorsOf, solveCell } from '../../../compiler/solve/solve.ts';
import { itemAt } from '../../../shared/assert.ts';
import { loadSolver } from '../../../src/cli/solver.ts';
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

describe('the best single pattern', () => {
  it('is that of brute force over all patterns of up to 8 relays', () => {
    fc.assert(
      fc.property(questions(8), (seed) => {
        const { problem } = makeQuestion(seed);
        expect([...bestSingle(problem).score]).toEqual([...bruteSingle(problem)]);
      }),
      { ...SEED, numRuns: 120 },
    );
  });
  it('is that of brute force with dimmed outputs in 17 levels', () => {
    fc.assert(
      fc.property(questions(3, true), (seed) => {
        const { problem } = makeQuestion(seed);
        expect([...bestSingle(problem).score]).toEqual([...bruteSingle(problem)]);
      }),
      { ...SEED, numRuns: 25 },
    );
  });
  it('is scored as the field says, worked out without tables', () => {
    fc.assert(
      fc.property(questions(4, true), (seed) => {
        const question = makeQuestion(seed);
        const { parts, score } = solveCell(question.problem);
        expect([...score.slice(UNLIT, UNLIT + 5)]).toEqual(slowScore(question, parts));
      }),
      { ...SEED, numRuns: 40 },
    );
  });
  it('descent, where elimination would be too wide, comes close: never more unlit, seldom worse', () => {
    let worse = 0;
    fc.assert(
      fc.property(questions(8), (seed) => {
        const { problem } = makeQuestion(seed);
        const found = single(problem, descend(problem));
        const best = bestSingle(problem).score;
        expect(compareScores(found, 0, best, 0)).toBeGreaterThanOrEqual(0);
        if (itemAt(found, UNLIT) > itemAt(best, UNLIT) || compareScores(found, 0, best, 0) > 0) worse++;
      }),
      { ...SEED, numRuns: 60 },
    );
    expect(worse).toBeLessThanOrEqual(6);
  });
});

it('a second pattern must halve something: 6 steps to 4 is not worth switching for, 6 to 3 is', () => {
  const score = (...parts: number[]): number[] => [0, 0, ...parts];
  expect(drawsBetter(score(0, 4), score(0, 6))).toBe(false);
  expect(drawsBetter(score(0, 3), score(0, 6))).toBe(true);
  expect(drawsBetter(score(8, 0), score(9, 6))).toBe(true);
  expect(drawsBetter(score(10, 0), score(9, 6))).toBe(false);
  expect(drawsBetter(score(0, 0), score(0, 0))).toBe(false);
});

describe('the best pair of patterns', () => {
  function brutePair(problem: Problem, alone: Float64Array): Float64Array | undefined {
    const patterns = everyPattern(problem);
    let best: Float64Array | undefined;
    for (let a = 0; a < patterns.length; a++) {
      for (let b = 0; b < patterns.length; b++) {
        // Which of the two burns first is settled by their order; trying both must find nothing better unmet.
        if (number(itemAt(patterns, a), problem) >= number(itemAt(patterns, b), problem)) continue;
        for (const minutes of splitsOf(problem.minutes, problem.slot)) {
          const score = scoreParts(problem, [
            { minutes, digits: itemAt(patterns, a) },
            { minutes: problem.minutes - minutes, digits: itemAt(patterns, b) },
          ]);
          if (!drawsBetter(score, alone)) continue;
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
        const alone = bestSingle(problem).score;
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
        const alone = bestSingle(short).score;
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

describe('the solver', () => {
  let highs: LinearSolver;
  beforeAll(async () => {
    highs = await loadSolver();
  });

  /** One part of the score minimised over all patterns, the parts before it held; as a mixed-integer program. */
  function optimum(problem: Problem): number[] {
    const factors = factorsOf(problem, problem.zones.map(zoneCosts));
    const rows: string[] = [];
    const names: string[][] = factors.map(({ vars, cost }, f) => {
      const size = cost.length / LENGTH;
      const own = Array.from({ length: size }, (_, s) => `y${f}_${s}`);
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
      const terms = factors.flatMap(({ cost }, f) =>
        itemAt(names, f).flatMap((name, s) =>
          itemAt(cost, s * LENGTH + part) > 0 ? [`${cost[s * LENGTH + part]} ${name}`] : [],
        ),
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

  it('finds the same optimum as the elimination on 50 racks (HiGHS, mixed-integer)', () => {
    fc.assert(
      fc.property(questions(6), (seed) => {
        const { problem } = makeQuestion(seed);
        const best = [...bestSingle(problem).score];
        best[PATTERNS] = 0;
        expect(optimum(problem).slice(0, NUMBERS)).toEqual(best.slice(0, NUMBERS));
      }),
      { ...SEED, numRuns: 50 },
    );
  });

  it('mixes a pool into whole slots that add up, and never makes an answer worse', () => {
    fc.assert(
      fc.property(questions(4), (seed) => {
        const { problem } = makeQuestion(seed);
        const pool = everyPattern(problem);
        const parts = suggestParts(problem, pool, highs);
        expect((parts ?? []).reduce((sum, part) => sum + part.minutes, 0)).toBe(problem.minutes);
        for (const { minutes } of parts ?? [])
          expect(minutes).toBeGreaterThanOrEqual(Math.min(15, problem.minutes));
        const [plain, helped] = [solveCell(problem), solveCell(problem, highs)];
        expect(compareScores(helped.score, 0, plain.score, 0)).toBeLessThanOrEqual(0);
      }),
      { ...SEED, numRuns: 30 },
    );
  });

  it('rounds by largest remainder', () => {
    expect(wholeSlots([50, 40, 10], 100, 10)).toEqual([50, 40, 10]);
    expect(wholeSlots([34, 33, 33], 100, 50)).toEqual([50, 50, 0]);
    expect(wholeSlots([20, 20], 40, 15)).toEqual([15, 25]);
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
        expect(full).toBe(zone.table.size - 1);
      }
    }),
    { ...SEED, numRuns: 20 },
  );
});
