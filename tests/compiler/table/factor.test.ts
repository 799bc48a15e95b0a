/**
 * Lanes of days factored into patterns, tracks and bindings: nothing is lost,
 * and what it costs is what table-format.md says that the bytes are.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { tableCosts } from '../../../compiler/table/costs.ts';
import type { Lane } from '../../../compiler/table/day-patterns.ts';
import { type FactoredSchedule, factorLanes, scheduleSize } from '../../../compiler/table/factor.ts';
import { tableListing } from '../../../compiler/table/listing.ts';
import { itemAt } from '../../../shared/assert.ts';
import { DARK, type Pattern, type Table } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay } from '../../../shared/units.ts';
import { anyTable } from './any-table.ts';

const BASE = 9500;

const pattern = (start: number, length = 60, level = 16, continuous = false): Pattern => ({
  ...{ start, continuous },
  segments: [{ length, level }],
});

const lane = (output: number, byDay: Record<number, Pattern>, steadyQuarters?: number): Lane => ({
  ...{ output, steadyQuarters },
  byDay: new Map(Object.entries(byDay).map(([day, one]) => [BASE + Number(day), one])),
});

/** Days from `from` to `until` (both in) with one pattern. */
const days = (from: number, until: number, one: Pattern): Record<number, Pattern> =>
  Object.fromEntries(Array.from({ length: until - from + 1 }, (_, i) => [from + i, one]));

/** What is lit, one line an output, clock and day: read by the format's words, not by ours. */
function said({ patterns, tracks, bindings }: FactoredSchedule): string[] {
  const played = tracks.map((runs) =>
    runs.flatMap((run) =>
      Array.from({ length: run.days }, (_, day) =>
        run.kind === 'plain'
          ? run.pattern
          : itemAt(run.patterns, Math.floor(day / run.period) % run.patterns.length),
      ),
    ),
  );
  return bindings.flatMap(({ outputs, track, startDay, steadyQuarters }) =>
    [1, 2, 3, 4, 5, 6, 7, 8]
      .filter((output) => (outputs >> (output - 1)) & 1)
      .flatMap((output) =>
        itemAt(played, track).flatMap((number, day) =>
          number === DARK
            ? []
            : [line(output, steadyQuarters, BASE + startDay + day, itemAt(patterns, number))],
        ),
      ),
  );
}

const line = (output: number, steady: number | undefined, day: number, one: Pattern): string =>
  `${output} ${steady} ${day} ${JSON.stringify([one.start, one.continuous, one.segments])}`;

const wanted = (lanes: readonly Lane[]): string[] =>
  lanes.flatMap(({ output, steadyQuarters, byDay }) =>
    [...byDay].map(([day, one]) => line(output, steadyQuarters, day, one)),
  );

function table(schedule: FactoredSchedule): Table {
  return {
    ...{ baseDay: civilDay(BASE), digest: 1, initialQuarters: 0, changes: [], ...schedule },
    ...{ limits: undefined, visits: undefined, pulse: undefined, room: undefined },
  };
}

/** Bytes of each section by its tag, heads included, as table-format.md lays them out. */
function sections(bytes: Uint8Array): Map<number, number> {
  const found = new Map<number, number>();
  for (let at = 11; at < bytes.length - 4; ) {
    const head = itemAt(bytes, at) + 256 * itemAt(bytes, at + 1);
    const length = 2 + (head % 4096);
    found.set(Math.floor(head / 4096), length);
    at += length;
  }
  return found;
}

const HEADS = 3 * 2;
const sizeInBytes = (schedule: FactoredSchedule): number =>
  [2, 3, 4].reduce((sum, tag) => sum + (sections(encodeTable(table(schedule)).bytes).get(tag) ?? 0), 0);

const lanesByChance = fc.array(
  fc.record({
    output: fc.integer({ min: 1, max: 8 }),
    steady: fc.constantFrom(undefined, undefined, 0, -20, 22),
    parts: fc.array(fc.tuple(fc.integer({ min: 0, max: 4 }), fc.integer({ min: 1, max: 40 })), {
      minLength: 1,
      maxLength: 6,
    }),
    first: fc.integer({ min: 1, max: 60 }),
  }),
  { minLength: 1, maxLength: 5 },
);

describe('lanes of days', () => {
  it('are all in the tracks and bindings, and nothing else is, in just so many bytes', () => {
    fc.assert(
      fc.property(lanesByChance, (parts) => {
        const lanes = parts.map(({ output, steady, parts: stretches, first }) => {
          const found: Record<number, Pattern> = {};
          let day = first;
          for (const [which, count] of stretches) {
            if (which > 0) Object.assign(found, days(day, day + count - 1, pattern(60 * which, 30 * which)));
            day += count;
          }
          if (Object.keys(found).length === 0) found[first] = pattern(0);
          return lane(output, found, steady);
        });
        const schedule = factorLanes(lanes, BASE);
        // Two lanes may say the same light twice; once is enough.
        expect([...new Set(said(schedule))].sort()).toEqual([...new Set(wanted(lanes))].sort());
        expect(scheduleSize(schedule) + HEADS).toBe(sizeInBytes(schedule));
        const names = schedule.patterns.map((one) => JSON.stringify(one));
        expect(new Set(names).size).toBe(names.length);
        const tracks = schedule.tracks.map((one) => JSON.stringify(one));
        expect(new Set(tracks).size).toBe(tracks.length);
      }),
      { numRuns: 150 },
    );
  });

  it('keep apart patterns that differ in start, length, level or going round the clock alone', () => {
    const four = [pattern(5), pattern(6), pattern(5, 61), pattern(5, 60, 15), pattern(5, 60, 16, true)];
    const schedule = factorLanes([lane(1, Object.fromEntries(four.map((one, day) => [day + 1, one])))], BASE);
    expect(schedule.patterns).toEqual(four);
  });

  it('of several outputs with the same days share one binding', () => {
    const one = days(3, 9, pattern(480));
    expect(
      factorLanes(
        [1, 3, 8].map((output) => lane(output, one)),
        BASE,
      ),
    ).toEqual({
      patterns: [pattern(480)],
      tracks: [[{ kind: 'plain', days: 7, pattern: 0 }]],
      bindings: [{ outputs: 0b1000_0101, track: 0, startDay: 3, steadyQuarters: undefined }],
    });
  });

  it('share a track, but no binding, where they begin on other days or go by another clock', () => {
    const one = pattern(480);
    const lanes = [lane(1, days(3, 9, one)), lane(2, days(4, 10, one)), lane(3, days(3, 9, one), -20)];
    const { tracks, bindings } = factorLanes([...lanes, lane(4, days(3, 9, one), 0)], BASE);
    expect(tracks).toHaveLength(1);
    expect(bindings).toEqual([
      { outputs: 1, track: 0, startDay: 3, steadyQuarters: undefined },
      { outputs: 2, track: 0, startDay: 4, steadyQuarters: undefined },
      { outputs: 4, track: 0, startDay: 3, steadyQuarters: -20 },
      { outputs: 8, track: 0, startDay: 3, steadyQuarters: 0 },
    ]);
  });

  it('are cut at dark gaps where that takes fewer bytes', () => {
    // Worked by hand from table-format.md: a run takes 2 bytes, a binding 4, the pattern 4.
    const [noon, night] = [pattern(720), pattern(60)];
    // Three same stretches 30 days apart: whole, five runs and one binding (10 + 4); cut, one run and three bindings (2 + 12).
    const thrice = { ...days(1, 5, noon), ...days(36, 40, noon), ...days(71, 75, noon) };
    const whole = factorLanes([lane(1, thrice)], BASE);
    expect(scheduleSize(whole)).toBe(4 + 14);
    // A second output that has the stretch alone shares its track once it is cut: 2 + 4 · 4, not 10 + 4 + 2 + 4.
    const two = factorLanes([lane(1, thrice), lane(2, days(100, 104, noon))], BASE);
    expect(two.tracks).toEqual([[{ kind: 'plain', days: 5, pattern: 0 }]]);
    expect(two.bindings.map(({ outputs, startDay }) => [outputs, startDay])).toEqual([
      ...[1, 36, 71].map((day) => [1, day]),
      [2, 100],
    ]);
    expect(scheduleSize(two)).toBe(4 + 2 + 16);
    // What comes once only is not cut: three runs and a binding, not two runs and two bindings.
    const once = factorLanes([lane(1, { ...days(1, 5, noon), ...days(8, 9, night) })], BASE);
    expect(once.bindings).toHaveLength(1);
    expect(scheduleSize(once)).toBe(2 * 4 + 3 * 2 + 4);
  });

  it.each([1, 2, 4, 8, 15, 29])('are cut at a gap of %i days, and not at one of a day less', (gap) => {
    // Two times of light a day less than the gap apart; the two come again after the gap, on each
    // of four outputs a day later.
    const [noon, night] = [pattern(720), pattern(60)];
    const both = (from: number): Record<number, Pattern> => ({
      ...days(from, from + 2, noon),
      ...days(from + 2 + gap, from + 6 + gap, night),
    });
    const again = (output: number): number => 1 + (7 + gap) + gap + (output - 1);
    const lanes = [1, 2, 3, 4].map((output) => lane(output, { ...both(1), ...both(again(output)) }));
    const { tracks, bindings } = factorLanes(lanes, BASE);
    // At most 6 bytes of a track and 5 bindings; cut at less, two tracks of 2 bytes and 10 bindings;
    // not cut, four tracks and four bindings.
    expect(tracks).toHaveLength(1);
    expect(bindings.map(({ outputs, startDay }) => [outputs, startDay])).toEqual([
      [0b1111, 1],
      ...[1, 2, 3, 4].map((output) => [1 << (output - 1), again(output)]),
    ]);
  });

  it('of nothing are nothing', () => {
    expect(factorLanes([], BASE)).toEqual({ patterns: [], tracks: [], bindings: [] });
  });
});

describe('what a table costs', () => {
  it('is the sum of its parts, each of them its section in the bytes', () => {
    fc.assert(
      fc.property(anyTable, (one) => {
        const encoded = encodeTable(one);
        const { total, schedule, parts } = tableCosts(encoded);
        const found = sections(encoded.bytes);
        const bySection = ['offsets', 'patterns', 'tracks', 'bindings', 'limits', 'visits', 'pulse', 'room'];
        expect(total).toBe(encoded.bytes.length);
        const told = Object.fromEntries(bySection.map((name, at) => [name, found.get(at + 1) ?? 0]));
        expect(parts).toEqual({ frame: 15, ...told });
        expect(schedule).toBe([1, 2, 3, 4].reduce((sum, tag) => sum + (found.get(tag) ?? 0), 0));
      }),
      { numRuns: 60 },
    );
  });

  it('stands under the listing, which shows every byte once', () => {
    const encoded = encodeTable(table(factorLanes([lane(1, days(3, 9, pattern(480)))], BASE)));
    const lines = tableListing('rack', encoded).split('\n');
    expect(lines[0]).toBe('rack: schedule table, offsets and bytes in hexadecimal');
    const rows = lines.flatMap(
      (one) => /^([0-9a-f]{4}) {2}((?:[0-9a-f]{2} ?)+) {2,}\S/.exec(one)?.slice(1) ?? [],
    );
    const bytes = rows.filter((_, at) => at % 2 === 1).join(' ');
    expect(
      bytes
        .trim()
        .split(/\s+/)
        .map((one) => Number.parseInt(one, 16)),
    ).toEqual([...encoded.bytes]);
    expect(lines).toContain(`${encoded.bytes.length} bytes: frame 15, patterns 6, tracks 4, bindings 6`);
    expect(lines).toContain('schedule part (offsets, patterns, tracks, bindings): 16 bytes');
  });
});
