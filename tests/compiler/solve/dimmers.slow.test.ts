/**
 * Dimmers round one zone: the levels against brute force over all 17ⁿ settings, the bounds
 * against settings drawn within their boxes, and for four to six dimmers the linear part
 * (side and contrast) against HiGHS, which knows nothing of the search.
 */

import fc from 'fast-check';
import { beforeAll, describe, expect, it } from 'vitest';
import { FACES } from '../../../compiler/light/row.ts';
import { ZoneBox } from '../../../compiler/solve/box.ts';
import { branchAndBound } from '../../../compiler/solve/branch.ts';
import { lookCost } from '../../../compiler/solve/look.ts';
import { type Problem, patternOf } from '../../../compiler/solve/problem.ts';
import {
  ANGLE_MOST,
  CONTRAST,
  compareScores,
  DIRECTION,
  LENGTH,
  PATTERNS,
  UNLIT,
} from '../../../compiler/solve/score.ts';
import { bestPattern, groupsOf } from '../../../compiler/solve/single.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { share } from '../../support/share.ts';
import { brute, costOf, dimmed, found } from './dimmed.ts';
import { type LinearSolver, loadSolver, PINNED } from './highs.ts';

describe('the best levels of dimmers', () => {
  it('are those of all 17ⁿ settings, for up to three dimmers', () => {
    fc.assert(
      fc.property(dimmed(2, 3), (problem) => {
        expect(bestPattern(problem).gap).toBeUndefined();
        expect([...found(problem)]).toEqual([...brute(problem)]);
      }),
      { seed: 6, numRuns: share(8, 50) },
    );
  });

  it('of four to six are proven, or say how far they may be from the best', () => {
    let proven = 0;
    const runs = share(8, 50);
    fc.assert(
      fc.property(dimmed(4, 6), fc.integer({ min: 1, max: 2 ** 31 - 2 }), (problem, from) => {
        const { digits, gap } = bestPattern(problem);
        const cost = costOf(problem, digits);
        if (gap === undefined) proven++;
        else expect(gap.by).toBeGreaterThan(0);
        // None of many others does better, but for what the gap allows.
        let state = from;
        for (let n = 0; n < 400; n++) {
          const other = problem.radix.map((levels, k) => {
            state = (state * 48_271) % 2_147_483_647;
            const near = Math.max(0, Math.min(levels - 1, itemAt(digits, k) + (state % 5) - 2));
            return n % 2 === 0 ? near : state % levels;
          });
          const theirs = costOf(problem, other);
          if (gap === undefined) expect(compareScores(theirs, 0, cost, 0)).toBeGreaterThanOrEqual(0);
          else
            for (let part = 0; part < gap.part; part++)
              expect(theirs[part]).toBeGreaterThanOrEqual(itemAt(cost, part));
        }
      }),
      { seed: 8, numRuns: runs },
    );
    expect(proven).toBeGreaterThan(runs * 0.9);
  });

  it('found with a search cut short, lie within the gap it states', () => {
    fc.assert(
      fc.property(dimmed(3, 3), fc.integer({ min: 1, max: 60 }), (problem, most) => {
        const group = itemAt(groupsOf(problem), 0);
        const off = problem.radix.map(() => 0);
        const first = { setting: off, cost: minuteCost(problem, off) };
        const short = branchAndBound(problem, group, off, first, (s) => minuteCost(problem, s), most);
        const [cost, best] = [costOf(problem, short.setting), brute(problem)];
        const at = best.findIndex((value, part) => value < itemAt(cost, part));
        const { gap } = short;
        if (gap === undefined) expect(at).toBe(-1);
        else if (at >= 0) {
          expect(at).toBeGreaterThanOrEqual(gap.part);
          if (at === gap.part) expect(itemAt(cost, at) - itemAt(best, at)).toBeLessThanOrEqual(gap.by);
        }
      }),
      { seed: 9, numRuns: share(4, 40) },
    );
  });
});

/** By the minute, without the count of patterns, as the search has it. */
function minuteCost(problem: Problem, digits: readonly number[]): Float64Array {
  const cost = costOf(problem, digits);
  cost[PATTERNS] = 0;
  return cost;
}

describe('a bound on a box', () => {
  it('is never beaten within it', () => {
    const share16 = fc.double({ min: 0, max: 1, noNaN: true });
    const corner = fc.array(fc.tuple(share16, share16), { minLength: 6, maxLength: 6 });
    const draws = fc.array(fc.array(share16, { minLength: 6, maxLength: 6 }), {
      minLength: 30,
      maxLength: 30,
    });
    fc.assert(
      fc.property(
        dimmed(2, 6),
        fc.array(corner, { minLength: 8, maxLength: 8 }),
        draws,
        (problem, boxes, drawn) => {
          const free = problem.radix.map((_, n) => n);
          const zone = itemAt(problem.zones, 0);
          const box = new ZoneBox(
            zone,
            problem.radix,
            free,
            problem.radix.map(() => 0),
          );
          boxes.forEach((ends, nth) => {
            const pairs = free.map((n) => itemAt(ends, n).map((at) => Math.round(at * 16)));
            const lo = pairs.map((pair) => Math.min(...pair));
            // Half of the boxes are one setting: there a bound must come near.
            const hi = nth % 2 === 0 ? pairs.map((pair) => Math.max(...pair)) : lo;
            const least = new Float64Array(LENGTH);
            box.addBound(least, lo, hi);
            for (const draw of drawn) {
              const digits = free.map(
                (n) => itemAt(lo, n) + Math.round(itemAt(draw, n) * (itemAt(hi, n) - itemAt(lo, n))),
              );
              const cost = lookCost(zone, patternOf(zone, digits));
              expect(compareScores(least, 0, cost, 0), `${lo} ${hi} ${digits}`).toBeLessThanOrEqual(0);
            }
          });
        },
      ),
      { seed: 10, numRuns: share(25, 300) },
    );
  });
});

describe('HiGHS on the linear part', () => {
  let highs: LinearSolver;
  beforeAll(async () => {
    highs = await loadSolver();
  });

  /** Whether some levels lie within so many degrees of the side at a contrast (hundredths), every bag pulled that way. */
  function possible(problem: Problem, degrees: number, contrast: number | undefined): boolean {
    const { ask, light } = itemAt(problem.zones, 0);
    if (ask.kind === 'dark' || !ask.side) throw new Error('Only a lean has a linear part.');
    const { normal, face, opposite } = ask.side;
    const tangent = Math.tan((degrees * Math.PI) / 180);
    const rows: string[] = [];
    const add = (value: (row: Int32Array) => number, from: string): void => {
      const terms = light.influences.map((one, n) => `${value(sure(one.means[bag])).toFixed(6)} x${n}`);
      rows.push(`${terms.join(' + ').replaceAll('+ -', '- ')} >= ${from}`);
    };
    let bag = 0;
    for (bag = 0; bag < light.bags; bag++) {
      const along = (row: Int32Array): number => itemAt(row, 0) * normal[0] + itemAt(row, 1) * normal[1];
      const across = (row: Int32Array): number => itemAt(row, 0) * normal[1] - itemAt(row, 1) * normal[0];
      add((row) => tangent * along(row) - across(row), '-0.001');
      add((row) => tangent * along(row) + across(row), '-0.001');
      // Enough of a pull to be one: the dimmest step of any lamp gives more.
      add(along, '1');
      if (contrast !== undefined)
        add((row) => itemAt(row, face) - (contrast / 100) * itemAt(row, opposite), '-0.001');
    }
    const text = [
      'Minimize',
      ' obj: x0',
      'Subject To',
      ...rows.map((row, n) => ` r${n}: ${row}`),
      'Bounds',
      ...problem.radix.map((_, n) => ` 0 <= x${n} <= 16`),
      'General',
      ` ${problem.radix.map((_, n) => `x${n}`).join(' ')}`,
      'End',
    ].join('\n');
    return highs.solve(text, PINNED).Status === 'Optimal';
  }

  it('finds no levels nearer to the side, nor at that nearness with more contrast, for four to six', () => {
    let looked = 0;
    fc.assert(
      fc.property(dimmed(4, 6, false), (problem) => {
        expect(FACES).toBe(5);
        const { digits, gap } = bestPattern(problem);
        if (gap !== undefined && gap.part <= CONTRAST) return;
        const cost = costOf(problem, digits);
        // Where bags are out of reach they count for nothing, which is not linear.
        if (itemAt(cost, UNLIT) > 0) return;
        looked++;
        const [direction, contrast] = [itemAt(cost, DIRECTION), itemAt(cost, CONTRAST)];
        const allowed = ANGLE_MOST / 100 + direction;
        expect(possible(problem, allowed + 0.01, undefined)).toBe(true);
        if (contrast > 0) expect(possible(problem, allowed, 500 - 10 * (contrast - 1) + 1)).toBe(false);
        if (direction > 0) expect(possible(problem, allowed - 1.01, undefined)).toBe(false);
        if (contrast < 50) expect(possible(problem, allowed + 0.01, 500 - 10 * contrast - 1)).toBe(true);
      }),
      { seed: 11, numRuns: share(15, 100) },
    );
    expect(looked).toBeGreaterThan(share(4, 25));
  });
});
