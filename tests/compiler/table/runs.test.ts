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

  it('split what lasts longer than one byte of days', () => {
    const days = new Array<number>(600).fill(0);
    expect(play(shortestRuns(days))).toEqual(days);
  });
});
