import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { runSize, shortestRuns } from '../../../compiler/table/runs.ts';
import { itemAt } from '../../../shared/assert.ts';
import { DARK, type Run } from '../../../shared/table.ts';

/** Plays runs back by the format's own words: day k of a cycle uses side floor(k / period) mod n. */
function play(runs: readonly Run[]): number[] {
  return runs.flatMap((run) =>
    Array.from({ length: run.days }, (_, day) =>
      run.kind === 'plain'
        ? run.pattern
        : itemAt(run.patterns, Math.floor(day / run.period) % run.patterns.length),
    ),
  );
}

/** Fewest bytes of all ways to say the days from `at` on with runs that each go on as far as they can. */
function leastBytes(days: readonly number[], at = 0): number {
  if (at >= days.length) return 0;
  const rest = days.slice(at);
  const period = stretchOf(rest);
  let best = 2 + leastBytes(days, at + period);
  for (let sides = 2; sides * period < rest.length + period; sides++) {
    const shown = rest.filter((_, day) => day % period === 0).slice(0, sides);
    // Every side lasts its period, but for a last one that the days end in.
    const lasts = shown.every((pattern, side) =>
      rest.slice(side * period, (side + 1) * period).every((one) => one === pattern),
    );
    if (!lasts) break;
    const differs = rest.findIndex((one, day) => one !== shown[Math.floor(day / period) % sides]);
    const goesOn = differs < 0 ? rest.length : differs;
    best = Math.min(best, 3 + sides + leastBytes(days, at + goesOn));
  }
  return best;
}

/** How many days the first pattern lasts. */
function stretchOf(days: readonly number[]): number {
  const next = days.findIndex((pattern) => pattern !== days[0]);
  return next < 0 ? days.length : next;
}

const sequence = fc.array(fc.tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: 1, max: 20 })), {
  minLength: 1,
  maxLength: 20,
});

describe('runs', () => {
  it('give back any sequence of days', () => {
    fc.assert(
      fc.property(sequence, (parts) => {
        const days = parts.flatMap(([pattern, count]) =>
          new Array<number>(count).fill(pattern === 3 ? DARK : pattern),
        );
        expect(play(shortestRuns(days))).toEqual(days);
      }),
      { numRuns: 300 },
    );
  });

  it('say a weekly change of sides as one cycle', () => {
    const days = Array.from({ length: 49 }, (_, day) => (Math.floor(day / 7) % 2 === 0 ? 1 : DARK));
    expect(shortestRuns(days)).toEqual([{ kind: 'cycle', days: 49, period: 7, patterns: [1, DARK] }]);
  });

  it('never take more bytes than one plain run a change', () => {
    fc.assert(
      fc.property(sequence, (parts) => {
        const days = parts.flatMap(([pattern, count]) => new Array<number>(count).fill(pattern));
        const changes = days.filter((pattern, at) => pattern !== days[at - 1]).length;
        const size = shortestRuns(days).reduce((sum, run) => sum + runSize(run), 0);
        expect(size).toBeLessThanOrEqual(2 * changes);
      }),
      { numRuns: 200 },
    );
  });

  it.each([
    [255, 1],
    [256, 2],
    [510, 2],
    [511, 3],
  ])('split what lasts longer than one byte of days: %i days take %i', (count, runs) => {
    const days = new Array<number>(count).fill(0);
    expect(play(shortestRuns(days))).toEqual(days);
    expect(shortestRuns(days)).toHaveLength(runs);
  });

  it('split a cycle of more days than one byte counts, and go on where it was in its period', () => {
    const days = Array.from({ length: 300 }, (_, day) => Math.floor(day / 7) % 2);
    const runs = shortestRuns(days);
    expect(play(runs)).toEqual(days);
    // 255 days are 36 periods and three days of the next; its last four come before a second cycle.
    expect(runs.map((run) => [run.kind, run.days])).toEqual([
      ['cycle', 255],
      ['plain', 4],
      ['cycle', 41],
    ]);
  });

  it('say sides of 255 days, no longer ones, and up to 16 of them, as a cycle', () => {
    const sides = (count: number, period: number, times = 1): number[] =>
      Array.from({ length: count * period * times }, (_, day) => Math.floor(day / period) % count);
    expect(shortestRuns(sides(16, 2, 4))).toEqual([
      { kind: 'cycle', days: 128, period: 2, patterns: Array.from({ length: 16 }, (_, side) => side) },
    ]);
    const cycles = shortestRuns(sides(17, 1, 8)).map((run) =>
      run.kind === 'cycle' ? run.patterns.length : 1,
    );
    expect(Math.max(...cycles)).toBeLessThanOrEqual(16);
    // The second of two sides shows for no day of a cycle, which counts 255 at most.
    expect(shortestRuns(sides(2, 255))).toEqual([
      { kind: 'plain', days: 255, pattern: 0 },
      { kind: 'plain', days: 255, pattern: 1 },
    ]);
  });

  it('are none for no days', () => expect(shortestRuns([])).toEqual([]));

  it('are no longer than others that go on as far as they can, for every sequence of up to nine days of two patterns and seven of three', () => {
    for (const [symbols, most] of [
      [2, 9],
      [3, 7],
    ] as const) {
      for (let length = 1; length <= most; length++) {
        for (let number = 0; number < symbols ** length; number++) {
          const days = Array.from({ length }, (_, at) => Math.floor(number / symbols ** at) % symbols);
          const runs = shortestRuns(days);
          expect(play(runs)).toEqual(days);
          const size = runs.reduce((sum, run) => sum + runSize(run), 0);
          if (size !== leastBytes(days)) expect({ days, size }).toEqual({ days, size: leastBytes(days) });
        }
      }
    }
  });
});
