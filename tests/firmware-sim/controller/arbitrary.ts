/** Random schedule tables for the property tests: every form the format allows, days kept few. */

import fc from 'fast-check';
import { itemAt } from '../../../shared/assert.ts';
import type { Binding, OffsetChange, Pattern, Run, Table } from '../../../shared/table.ts';
import { civilDay } from '../../../shared/units.ts';

const pattern: fc.Arbitrary<Pattern> = fc
  .record({
    start: fc.oneof(fc.constantFrom(0, 60, 119, 120, 180, 1380, 1439), fc.integer({ min: 0, max: 1439 })),
    continuous: fc.boolean(),
    lengths: fc.array(fc.integer({ min: 1, max: 480 }), { minLength: 1, maxLength: 6 }),
    levels: fc.array(fc.integer({ min: 0, max: 16 }), { minLength: 6, maxLength: 6 }),
  })
  .map(({ start, continuous, lengths, levels }) => {
    const segments = [];
    let total = 0;
    for (const [index, length] of lengths.entries()) {
      if (total + length > 1440) break;
      total += length;
      segments.push({ length, level: itemAt(levels, index) });
    }
    return { start, continuous, segments };
  });

const quarters = fc.integer({ min: -48, max: 56 });

/** Changes of the size that time zones have had (30 min, 1 h, 2 h, a whole day), also at midnight. */
const changes = (initial: number): fc.Arbitrary<OffsetChange[]> =>
  fc
    .array(
      fc.record({
        day: fc.integer({ min: 0, max: 11 }),
        minute: fc.oneof(fc.constantFrom(0, 60, 120, 1380), fc.integer({ min: 0, max: 1439 })),
        by: fc.constantFrom(-8, -4, -2, 2, 4, 8, 96, -96),
        atMidnight: fc.boolean(),
      }),
      { maxLength: 3 },
    )
    .map((raw) => {
      let offset = initial;
      let previous = -1;
      const made: OffsetChange[] = [];
      for (const change of raw.sort((one, other) => one.day - other.day)) {
        const minute =
          1440 * change.day + change.minute - (change.atMidnight ? change.minute + 15 * offset : 0);
        const next = offset + change.by;
        if (minute <= previous || next < -127 || next > 127) continue;
        offset = next;
        previous = minute;
        made.push({ minute, quarters: offset });
      }
      return made;
    });

function run(patterns: number): fc.Arbitrary<Run> {
  const one = fc.constantFrom(...Array.from({ length: patterns }, (_, index) => index), 63);
  const days = fc.integer({ min: 1, max: 5 });
  return fc.oneof(
    fc.record({ kind: fc.constant('plain' as const), days, pattern: one }),
    fc.record({
      kind: fc.constant('cycle' as const),
      days: fc.integer({ min: 1, max: 9 }),
      period: fc.integer({ min: 1, max: 3 }),
      patterns: fc.array(one, { minLength: 2, maxLength: 4 }),
    }),
  );
}

function binding(tracks: number): fc.Arbitrary<Binding> {
  return fc.record({
    outputs: fc.integer({ min: 1, max: 255 }),
    track: fc.integer({ min: 0, max: tracks - 1 }),
    startDay: fc.integer({ min: 0, max: 4 }),
    steadyQuarters: fc.option(quarters, { nil: undefined }),
  });
}

/** Tables with schedule sections only. */
export const scheduleTable: fc.Arbitrary<Table> = fc
  .record({
    patterns: fc.array(pattern, { minLength: 1, maxLength: 4 }),
    initial: fc.oneof(fc.constant(0), quarters),
  })
  .chain(({ patterns, initial }) =>
    fc.record({
      patterns: fc.constant(patterns),
      initial: fc.constant(initial),
      changes: changes(initial),
      tracks: fc.array(fc.array(run(patterns.length), { minLength: 1, maxLength: 4 }), {
        minLength: 1,
        maxLength: 3,
      }),
    }),
  )
  .chain(({ patterns, initial, changes: made, tracks }) =>
    fc.array(binding(tracks.length), { minLength: 1, maxLength: 4 }).map((bindings) => ({
      baseDay: civilDay(9500),
      digest: 0x12345678,
      initialQuarters: initial,
      changes: made,
      patterns,
      tracks,
      bindings,
      limits: undefined,
      visits: undefined,
      pulse: undefined,
      room: undefined,
    })),
  );
