/** Any table that the format can say, for property tests. Invented data. */

import fc from 'fast-check';
import { sure } from '../../../shared/assert.ts';
import {
  DARK,
  type Pattern,
  type Run,
  type Table,
  type VisitEntry,
  type Visits,
} from '../../../shared/table.ts';
import { civilDay } from '../../../shared/units.ts';

const quarters = fc.integer({ min: -48, max: 56 });

const pattern: fc.Arbitrary<Pattern> = fc.record({
  start: fc.integer({ min: 0, max: 1439 }),
  continuous: fc.boolean(),
  segments: fc.array(
    fc.record({ length: fc.integer({ min: 1, max: 360 }), level: fc.integer({ min: 0, max: 16 }) }),
    { minLength: 1, maxLength: 4 },
  ),
});

function run(patterns: number): fc.Arbitrary<Run> {
  const one = fc.oneof(fc.constant(DARK), fc.integer({ min: 0, max: Math.max(0, patterns - 1) }));
  const known = patterns === 0 ? fc.constant(DARK) : one;
  const days = fc.integer({ min: 1, max: 255 });
  return fc.oneof(
    fc.record({ kind: fc.constant('plain' as const), days, pattern: known }),
    fc.record({
      kind: fc.constant('cycle' as const),
      days,
      period: fc.integer({ min: 1, max: 20 }),
      patterns: fc.array(known, { minLength: 2, maxLength: 5 }),
    }),
  );
}

const entry: fc.Arbitrary<VisitEntry> = fc
  .tuple(
    fc.constantFrom('look' as const, 'lift' as const, 'turn' as const),
    fc.integer({ min: 0, max: 1439 }),
    fc.integer({ min: 0, max: 255 }),
    fc.oneof(
      fc.record({
        form: fc.constant('every' as const),
        every: fc.integer({ min: 1, max: 255 }),
        count: fc.integer({ min: 1, max: 255 }),
      }),
      fc.record({
        form: fc.constant('weekdays' as const),
        mask: fc.integer({ min: 1, max: 127 }),
        days: fc.integer({ min: 1, max: 255 }),
      }),
      fc.constant({ form: 'once' as const }),
      fc.record({ form: fc.constant('open' as const), days: fc.integer({ min: 1, max: 255 }) }),
    ),
  )
  .map(([kind, at, from, form]) => ({
    kind: form.form === 'open' ? ('harvest' as const) : kind,
    at,
    from,
    ...form,
  }));

const visits: fc.Arbitrary<Visits> = fc.integer({ min: 1, max: 16 }).chain((zoneCount) =>
  fc.record({
    zoneCount: fc.constant(zoneCount),
    groups: fc.array(
      fc.record({
        entries: fc.array(entry, { minLength: 1, maxLength: 4 }),
        bindings: fc.array(
          fc.record({
            startDay: fc.integer({ min: 0, max: 700 }),
            zones: fc.integer({ min: 1, max: (1 << zoneCount) - 1 }),
          }),
          { minLength: 1, maxLength: 3 },
        ),
      }),
      { maxLength: 3 },
    ),
  }),
);

const hours = fc
  .uniqueArray(fc.integer({ min: 0, max: 1440 }), { minLength: 2, maxLength: 4 })
  .map((times) => [...times].sort((a, b) => a - b))
  .map((times) =>
    times.length > 3
      ? [[times[0], times[1]] as const, [times[2], times[3]] as const]
      : [[times[0], times[1]] as const],
  )
  .map((pairs) => pairs.map(([from, until]): readonly [number, number] => [sure(from), sure(until)]));

/** Any table within the format's limits (its size may exceed a slot only far beyond these bounds). */
export const anyTable: fc.Arbitrary<Table> = fc
  .array(pattern, { maxLength: 6 })
  .chain((patterns) =>
    fc.tuple(
      fc.constant(patterns),
      fc.array(fc.array(run(patterns.length), { minLength: 1, maxLength: 4 }), { maxLength: 5 }),
    ),
  )
  .chain(([patterns, tracks]) =>
    fc.record({
      baseDay: fc.integer({ min: 0, max: 20_000 }).map(civilDay),
      digest: fc.nat(0xffffffff),
      initialQuarters: quarters,
      changes: fc
        .uniqueArray(fc.integer({ min: 0, max: 1_000_000 }), { maxLength: 4 })
        .chain((at) =>
          fc.tuple(
            ...[...at]
              .sort((a, b) => a - b)
              .map((minute) => fc.record({ minute: fc.constant(minute), quarters })),
          ),
        ),
      patterns: fc.constant(patterns),
      tracks: fc.constant(tracks),
      bindings:
        tracks.length === 0
          ? fc.constant([])
          : fc.array(
              fc.record({
                outputs: fc.integer({ min: 1, max: 255 }),
                track: fc.integer({ min: 0, max: tracks.length - 1 }),
                startDay: fc.integer({ min: 0, max: 700 }),
                steadyQuarters: fc.option(quarters, { nil: undefined }),
              }),
              { maxLength: 6 },
            ),
      limits: fc.option(
        fc.record({
          dwellSeconds: fc.integer({ min: 0, max: 3600 }),
          longestOnMinutes: fc.integer({ min: 0, max: 1440 }),
        }),
        { nil: undefined },
      ),
      visits: fc.option(visits, { nil: undefined }),
      pulse: fc.option(fc.record({ sound: fc.boolean(), light: fc.boolean(), hours }), { nil: undefined }),
      room: fc.option(
        fc.record({ low: fc.integer({ min: -320, max: 640 }), high: fc.integer({ min: -320, max: 640 }) }),
        {
          nil: undefined,
        },
      ),
    }),
  );
