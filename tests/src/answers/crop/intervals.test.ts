/** Intervals for few bags against printed tables and worked examples, each with its source. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { sure } from '../../../../shared/assert.ts';
import {
  lineThrough,
  meanDifference,
  meanInterval,
  normalPoint,
  type Sample,
  sampleOf,
  shareDifference,
  shareInterval,
  studentPoint,
} from '../../../../src/answers/crop/intervals.ts';

const alone = (values: readonly number[]): Sample =>
  sure(sampleOf(values.map((value) => ({ value, bags: 1 }))));

describe("Student's t", () => {
  // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.2, columns 0.95, 0.975, 0.995 (two-sided 90, 95, 99 %).
  it.each([
    [1, 6.314, 12.706, 63.657],
    [2, 2.92, 4.303, 9.925],
    [3, 2.353, 3.182, 5.841],
    [4, 2.132, 2.776, 4.604],
    [5, 2.015, 2.571, 4.032],
    [7, 1.895, 2.365, 3.499],
    [10, 1.812, 2.228, 3.169],
    [11, 1.796, 2.201, 3.106],
    [14, 1.761, 2.145, 2.977],
    [23, 1.714, 2.069, 2.807],
    [30, 1.697, 2.042, 2.75],
    [60, 1.671, 2.0, 2.66],
    [100, 1.66, 1.984, 2.626],
  ])('with %i degrees of freedom is that of the table', (freedom, p90, p95, p99) => {
    expect(studentPoint(freedom, 0.9)).toBeCloseTo(p90, 3);
    expect(studentPoint(freedom, 0.95)).toBeCloseTo(p95, 3);
    expect(studentPoint(freedom, 0.99)).toBeCloseTo(p99, 3);
  });

  it('tends to the normal distribution, whose points are those of any table', () => {
    expect(normalPoint(0.9)).toBeCloseTo(1.6449, 4);
    expect(normalPoint(0.95)).toBeCloseTo(1.96, 4);
    expect(normalPoint(0.99)).toBeCloseTo(2.5758, 4);
    expect(normalPoint(0.999)).toBeCloseTo(3.2905, 4);
    expect(studentPoint(20_001)).toBeCloseTo(1.9601, 3);
  });
});

describe('the mean of some bags', () => {
  it('has the interval of a worked example', () => {
    // NIST/SEMATECH e-Handbook, 1.3.5.2: ZARR13.DAT, 195 readings, mean 9.261460, standard deviation 0.022789.
    const error = { ofMean: 0.022789 / Math.sqrt(195), freedom: 194 };
    const interval = sure(meanInterval({ mean: 9.26146, bags: 195, values: [], error }));
    expect(interval.low).toBeCloseTo(9.258242, 5);
    expect(interval.high).toBeCloseTo(9.264679, 5);
  });

  it('has none of one bag, nor of bags that are all alike', () => {
    expect(sampleOf([])).toBeUndefined();
    expect(meanInterval(alone([80]))).toBeUndefined();
    expect(meanInterval(alone([80, 80, 80]))).toBeUndefined();
  });

  it('of bags weighed together has the scatter that groups of that size have', () => {
    // By hand: two groups of 5 (means 80 and 90) and one bag of 70; mean 920/11, squares about it 5·13.2231 +
    // 5·40.4959 + 185.9504 = 454.5455 with 2 degrees of freedom, standard error √(454.5455/2/11) = 4.5455.
    const sample = sure(
      sampleOf([
        { value: 80, bags: 5 },
        { value: 90, bags: 5 },
        { value: 70, bags: 1 },
      ]),
    );
    expect(sample).toMatchObject({ bags: 11, error: { freedom: 2 } });
    expect(sample.mean).toBeCloseTo(920 / 11, 9);
    expect(sample.error?.ofMean).toBeCloseTo(4.5455, 3);
  });
});

describe('the difference of two means', () => {
  it("has the error of a worked example of Welch's test, and the degrees of freedom of the lesser", () => {
    // Wikipedia, "Welch's t-test", its first example (from memory; scipy 1.17: t −2.455).
    const a = alone([
      27.5, 21.0, 19.0, 23.6, 17.0, 17.9, 16.9, 20.1, 21.9, 22.6, 23.1, 19.6, 19.0, 21.7, 21.4,
    ]);
    const b = alone([
      27.1, 22.0, 20.8, 23.4, 23.4, 23.5, 25.8, 22.0, 24.8, 20.2, 21.9, 22.1, 22.9, 20.5, 24.4,
    ]);
    const interval = sure(meanDifference(a, b, 0.95));
    // Fifteen readings each; t 0.975 of 14 degrees of freedom is 2.145 in the table.
    const error = (a.mean - b.mean) / -2.455;
    expect((interval.high - interval.low) / 2 / error).toBeCloseTo(2.145, 2);
    expect(interval.high).toBeLessThan(0);
  });
});

describe('a share', () => {
  // Newcombe 1998, Statistics in Medicine 17, 857–872, table I, method 3 (from memory; scipy 1.17 gives the same).
  it.each([
    [81, 263, 0.2553, 0.3662],
    [15, 148, 0.0624, 0.1605],
    [0, 20, 0, 0.1611],
    [1, 29, 0.0061, 0.1718],
  ])('%i of %i has the interval of the table', (count, of, low, high) => {
    const interval = sure(shareInterval({ count, of }));
    expect(interval.low).toBeCloseTo(low, 4);
    expect(interval.high).toBeCloseTo(high, 4);
  });

  it('holds itself, and never leaves 0 to 1', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 60 }),
        fc.nat(),
        fc.double({ min: 0.5, max: 0.9999 }),
        (of, k, s) => {
          const count = k % (of + 1);
          const { low, high } = sure(shareInterval({ count, of }, s));
          expect(low).toBeGreaterThanOrEqual(0);
          expect(high).toBeLessThanOrEqual(1);
          expect(low).toBeLessThanOrEqual(count / of);
          expect(high).toBeGreaterThanOrEqual(count / of);
        },
      ),
    );
  });

  // Newcombe 1998, Statistics in Medicine 17, 873–890, table II, method 10 (from memory; scipy has none).
  it.each([
    [56, 70, 48, 80, 0.0524, 0.3339],
    [9, 10, 3, 10, 0.1705, 0.809],
    [6, 7, 2, 7, 0.0582, 0.8062],
    [5, 56, 0, 29, -0.0381, 0.1926],
    [0, 10, 0, 20, -0.1611, 0.2775],
    [10, 10, 0, 20, 0.6791, 1],
  ])('%i of %i lies above %i of %i as in the table', (ca, oa, cb, ob, low, high) => {
    const interval = sure(shareDifference({ count: ca, of: oa }, { count: cb, of: ob }, 0.95));
    expect(interval.low).toBeCloseTo(low, 3);
    expect(interval.high).toBeCloseTo(high, 3);
  });
});

describe('a line through points', () => {
  it("is that of Anscombe's first set", () => {
    // Anscombe 1973, The American Statistician 27, 17–21: slope 0.500, its standard error 0.118, intercept 3.00.
    const x = [10, 8, 13, 9, 11, 14, 6, 4, 12, 7, 5];
    const y = [8.04, 6.95, 7.58, 8.81, 8.33, 9.96, 7.24, 4.26, 10.84, 4.82, 5.68];
    const line = sure(lineThrough(x.map((one, i) => [one, y[i] ?? 0])));
    expect(line.slope).toBeCloseTo(0.5, 3);
    expect(line.intercept).toBeCloseTo(3.0, 2);
    expect(line.error?.ofSlope).toBeCloseTo(0.118, 3);
    expect(line.error?.freedom).toBe(9);
  });

  it('needs two different days, and tells no scatter of two', () => {
    expect(lineThrough([])).toBeUndefined();
    expect(
      lineThrough([
        [3, 1],
        [3, 2],
      ]),
    ).toBeUndefined();
    expect(
      lineThrough([
        [3, 1],
        [5, 2],
      ]),
    ).toMatchObject({ slope: 0.5, error: undefined });
  });
});
