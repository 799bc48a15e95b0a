/** Blocks of a day as the pattern of each output, worked out by hand from table-format.md (2 Patterns, 3 Tracks). */

import { describe, expect, it } from 'vitest';
import { offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import type { Block, DayBlocks } from '../../../compiler/steer/block.ts';
import { type Lane, lanesOf } from '../../../compiler/table/day-patterns.ts';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { civilDay, minutes, utcSeconds } from '../../../shared/units.ts';

const FIRST = sure(dayFromIso('2026-03-27'));
// The clock goes forward on 2026-03-29 at 01:00 UTC (IANA tz database).
const OFFSETS = offsetsFor('Europe/Lisbon', utcSeconds(FIRST * 86_400), utcSeconds((FIRST + 9) * 86_400));

const block = (from: number, length: number, more: Partial<Block> = {}): Block => ({
  ...{ controller: 0, output: 1, anchor: minutes(480), clock: 'civil' as const },
  ...{ from, length, level: 16, continuous: false, ...more },
});
const days = (...each: (readonly Block[])[]): DayBlocks[] =>
  each.map((blocks, n) => ({ day: civilDay(FIRST + n), blocks }));
const lanes = (...each: (readonly Block[])[]): Lane[] => lanesOf(0, days(...each), OFFSETS);
/** Output, and by day the start and the segments. */
const said = (all: readonly Lane[]): unknown[] =>
  all.map(({ output, byDay }) => [
    output,
    ...[...byDay].map(([day, { start, segments }]) => [
      day - FIRST,
      start,
      segments.map(({ length, level }) => `${length}@${level}`).join(' '),
    ]),
  ]);

describe('the blocks of a day', () => {
  it('of one photoperiod are one pattern, dark between them, in order', () => {
    expect(said(lanes([block(120, 60, { level: 4 }), block(0, 90), block(180, 30)]))).toEqual([
      [1, [0, 480, '90@16 30@0 60@4 30@16']],
    ]);
    expect(said(lanes([block(15, 45)]))).toEqual([[1, [0, 480, '15@0 45@16']]]);
  });

  it('of another controller are not its own, and outputs come in order', () => {
    const foreign = block(0, 60, { controller: 1 });
    expect(said(lanes([block(0, 60, { output: 3 }), foreign, block(0, 30, { output: 2 })]))).toEqual([
      [2, [0, 480, '30@16']],
      [3, [0, 480, '60@16']],
    ]);
  });

  it('of two photoperiods lie in two lanes, each with its own start over the days', () => {
    const evening = block(0, 60, { anchor: minutes(1200) });
    expect(said(lanes([evening, block(0, 60)], [block(0, 60), evening]))).toEqual([
      [1, [0, 480, '60@16'], [1, 480, '60@16']],
      [1, [0, 1200, '60@16'], [1, 1200, '60@16']],
    ]);
  });

  it('go on in a lane that is free, at another start too', () => {
    expect(said(lanes([block(0, 60)], [block(0, 60, { anchor: minutes(600) })]))).toEqual([
      [1, [0, 480, '60@16'], [1, 600, '60@16']],
    ]);
  });

  it('on a fixed offset are apart from those on the wall clock', () => {
    const steady = block(0, 60, { clock: { offsetQuarters: 0 } });
    expect(lanes([steady, block(0, 60)]).map(({ steadyQuarters }) => steadyQuarters)).toEqual(
      expect.arrayContaining([undefined, 0]),
    );
  });

  // 24 hours from 08:00 end at 09:00 by the clock that went forward, and at 08:00 on other days.
  it.each([
    ['as it ends before the next begins', 0, 1],
    ['but not over the change, which it outlasts by an hour', 1, 2],
  ])('that last 24 hours share a lane with the next day, %s', (_, first, count) => {
    const each: Block[][] = [[], [], []];
    each[first] = [block(0, 1440)];
    each[first + 1] = [block(0, 60)];
    expect(lanes(...each)).toHaveLength(count);
  });

  it('of round-the-clock light last until the same start of the next day, also over the change', () => {
    const always = block(0, 1440, { continuous: true });
    const [lane, ...more] = lanes([always], [always], [always]);
    expect(more).toEqual([]);
    expect([...sure(lane).byDay.values()].map(({ continuous }) => continuous)).toEqual([true, true, true]);
  });
});
