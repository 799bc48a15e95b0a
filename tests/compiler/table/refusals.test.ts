/**
 * Each refusal of table-format.md (Refusals), at its very edge: the last bytes
 * that are a table and the first that are none, written here by hand from the
 * document; TypeScript's reader and the C core's agree on every one.
 */

import { describe, expect, it } from 'vitest';
import { crc32 } from '../../../shared/crc.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { coreWith } from '../../boards/firmware/core-table.ts';

const { open } = coreWith();

type Section = readonly [tag: number, body: readonly number[]];

const u16 = (value: number): number[] => [value & 0xff, value >> 8];
const u24 = (value: number): number[] => [value & 0xff, (value >> 8) & 0xff, value >> 16];

/** A frame round sections, its length and CRC right; `more` is added to the length field. */
function table(sections: readonly Section[], more = 0): Uint8Array {
  const bodies = sections.flatMap(([tag, body]) => [...u16((tag << 12) | body.length), ...body]);
  const length = 15 + bodies.length;
  const bytes = Uint8Array.of(
    0x4c,
    0x57,
    1,
    ...u16(length + more),
    ...u16(9500),
    1,
    2,
    3,
    4,
    ...bodies,
    0,
    0,
    0,
    0,
  );
  new DataView(bytes.buffer).setUint32(length - 4, crc32(bytes.subarray(0, length - 4)), true);
  return bytes;
}

const pattern = (
  start: number,
  segments: readonly (readonly [number, number])[],
  continuous = 0,
): number[] => [
  ...u16(start | ((segments.length - 1) << 11) | (continuous << 15)),
  ...segments.flatMap(([length, level]) => u16(length | (level << 11))),
];
const NOON = pattern(720, [[60, 16]]);
const patterns = (count: number): Section => [2, Array.from({ length: count }, () => NOON).flat()];
/** One run, the last of its track. */
const track = (head: number, ...rest: number[]): number[] => [0x80 | head, ...rest];
const TRACK: Section = [3, track(0, 1)];
const BINDING = [1, 0, ...u16(0)];
const entry = (minute: number, kind: number, form: number, ...rest: number[]): number[] => [
  ...u16(minute | (kind << 11) | (form << 14)),
  ...rest,
];
/** Visits of one group: an entry, and a binding for the zones of `mask`. */
const visits = (zones: number, one: readonly number[], mask: readonly number[]): Section => [
  6,
  [zones, 0, ...one, ...u16(0), ...mask],
];
const LOOK = entry(600, 0, 0, 1, 3, 4);

function both(bytes: Uint8Array): boolean {
  const read = decodeTable(bytes).ok;
  expect(open(bytes), 'the C core agrees').toBe(read);
  return read;
}

/** What is a table, and what is one step beyond it. */
const EDGES: readonly (readonly [what: string, taken: readonly Section[], refused: readonly Section[]])[] = [
  ['a tag of 0', [[1, [0]]], [[0, [0]]]],
  ['a tag above 8', [[8, [...u16(16), ...u16(20)]]], [[9, [...u16(16), ...u16(20)]]]],
  [
    'tags that ascend',
    [
      [7, [0]],
      [8, [0, 0, 0, 0]],
    ],
    [
      [8, [0, 0, 0, 0]],
      [7, [0]],
    ],
  ],
  [
    'a tag twice',
    [[7, [0]]],
    [
      [7, [0]],
      [7, [0]],
    ],
  ],
  ['an empty body', [[1, [0]]], [[1, []]]],
  ['an empty body of patterns', [patterns(1)], [[2, []]]],
  ['an empty body of tracks', [patterns(1), TRACK], [patterns(1), [3, []]]],
  ['an empty body of bindings', [patterns(1), TRACK, [4, BINDING]], [patterns(1), TRACK, [4, []]]],
  ['changes that ascend', [[1, [0, ...u24(5), 4, ...u24(6), 0]]], [[1, [0, ...u24(5), 4, ...u24(5), 0]]]],
  [
    'changes that go back far',
    [[1, [0, ...u24(255), 4, ...u24(256), 0]]],
    [[1, [0, ...u24(256), 4, ...u24(255), 0]]],
  ],
  ['a change cut off', [[1, [0, ...u24(5), 4]]], [[1, [0, ...u24(5)]]]],
  ['a start of the day', [[2, pattern(1439, [[1, 1]])]], [[2, pattern(1440, [[1, 1]])]]],
  ['a segment of no minutes', [[2, pattern(0, [[1, 1]])]], [[2, pattern(0, [[0, 1]])]]],
  ['a level', [[2, pattern(0, [[1, 16]])]], [[2, pattern(0, [[1, 17]])]]],
  [
    'lengths together',
    [
      [
        2,
        pattern(
          9,
          [
            [720, 1],
            [720, 2],
          ],
          1,
        ),
      ],
    ],
    [
      [
        2,
        pattern(
          9,
          [
            [720, 1],
            [721, 2],
          ],
          1,
        ),
      ],
    ],
  ],
  ['a pattern cut off', [patterns(1)], [[2, NOON.slice(0, -1)]]],
  ['63 patterns', [patterns(63)], [patterns(64)]],
  ['a track that ends', [patterns(1), [3, [0, 1, ...track(63, 255)]]], [patterns(1), [3, [0, 1, 63, 255]]]],
  ['a run of no days', [patterns(1), [3, track(0, 1)]], [patterns(1), [3, track(0, 0)]]],
  ['a pattern that there is', [patterns(2), [3, track(1, 1)]], [patterns(1), [3, track(1, 1)]]],
  ['a cycle of 2', [patterns(1), [3, track(0x42, 9, 1, 0, 63)]], [patterns(1), [3, track(0x41, 9, 1, 0)]]],
  [
    'a cycle of 62',
    [patterns(1), [3, track(0x40 | 62, 9, 1, ...new Array<number>(62).fill(0))]],
    [patterns(1), [3, track(0x40 | 63, 9, 1, ...new Array<number>(63).fill(0))]],
  ],
  ['a period', [patterns(1), [3, track(0x42, 9, 1, 0, 0)]], [patterns(1), [3, track(0x42, 9, 0, 0, 0)]]],
  [
    'a side that there is',
    [patterns(1), [3, track(0x42, 9, 1, 0, 0)]],
    [patterns(1), [3, track(0x42, 9, 1, 0, 1)]],
  ],
  ['outputs', [patterns(1), TRACK, [4, BINDING]], [patterns(1), TRACK, [4, [0, ...BINDING.slice(1)]]]],
  ['a track that there is', [patterns(1), TRACK, [4, BINDING]], [patterns(1), TRACK, [4, [1, 1, ...u16(0)]]]],
  [
    'a steady offset',
    [patterns(1), TRACK, [4, [1, 0, ...u16(0x8000), 4]]],
    [patterns(1), TRACK, [4, [1, 0, ...u16(0x8000)]]],
  ],
  ['limits of four bytes', [[5, [1, 0, 2, 0]]], [[5, [1, 0, 2]]]],
  ['limits of no more', [[5, [1, 0, 2, 0]]], [[5, [1, 0, 2, 0, 0]]]],
  ['one zone', [visits(1, LOOK, [1])], [visits(0, LOOK, [1])]],
  ['16 zones', [visits(16, LOOK, [0, 0x80])], [visits(17, LOOK, [0, 0x80])]],
  ['8 zones in one byte', [visits(8, LOOK, [0x80])], [visits(8, LOOK, [0x80, 0])]],
  ['no group', [[6, [3]]], [[6, [3, 0]]]],
  [
    'a due minute',
    [visits(3, entry(1439, 0, 0, 1, 3, 4), [1])],
    [visits(3, entry(1440, 0, 0, 1, 3, 4), [1])],
  ],
  ['a kind', [visits(3, entry(9, 3, 3, 0, 5), [1])], [visits(3, entry(9, 4, 3, 0, 5), [1])]],
  ['open for a harvest only', [visits(3, entry(9, 3, 3, 0, 5), [1])], [visits(3, entry(9, 2, 3, 0, 5), [1])]],
  ['a harvest only open', [visits(3, entry(9, 2, 2, 7), [1])], [visits(3, entry(9, 3, 2, 7), [1])]],
  ['every', [visits(3, entry(9, 0, 0, 0, 1, 1), [1])], [visits(3, entry(9, 0, 0, 0, 0, 1), [1])]],
  ['a count', [visits(3, entry(9, 0, 0, 0, 1, 1), [1])], [visits(3, entry(9, 0, 0, 0, 1, 0), [1])]],
  ['weekdays', [visits(3, entry(9, 1, 1, 0, 127, 7), [1])], [visits(3, entry(9, 1, 1, 0, 128, 7), [1])]],
  ['a weekday', [visits(3, entry(9, 1, 1, 0, 1, 7), [1])], [visits(3, entry(9, 1, 1, 0, 0, 7), [1])]],
  ['days of weekdays', [visits(3, entry(9, 1, 1, 0, 1, 1), [1])], [visits(3, entry(9, 1, 1, 0, 1, 0), [1])]],
  ['days of an open visit', [visits(3, entry(9, 3, 3, 0, 1), [1])], [visits(3, entry(9, 3, 3, 0, 0), [1])]],
  ['a zone mask', [visits(3, LOOK, [1])], [visits(3, LOOK, [0])]],
  ['zones that there are', [visits(3, LOOK, [4])], [visits(3, LOOK, [8])]],
  ['bits of the pulse', [[7, [3]]], [[7, [4]]]],
  ['hours that last', [[7, [0, ...u16(480), ...u16(481)]]], [[7, [0, ...u16(480), ...u16(480)]]]],
  ['hours of the day', [[7, [0, ...u16(480), ...u16(1440)]]], [[7, [0, ...u16(480), ...u16(1441)]]]],
  [
    'hours apart',
    [[7, [0, ...u16(480), ...u16(600), ...u16(600), ...u16(700)]]],
    [[7, [0, ...u16(480), ...u16(600), ...u16(599), ...u16(700)]]],
  ],
  ['hours cut off', [[7, [0]]], [[7, [0, ...u16(480)]]]],
  ['a room of four bytes', [[8, [0, 1, 0, 2]]], [[8, [0, 1, 0]]]],
];

describe('what is a table, and what is none', () => {
  it.each(EDGES)('%s', (_, taken, refused) => {
    expect([both(table(taken)), both(table(refused))]).toEqual([true, false]);
  });

  it('the frame', () => {
    const sound = table([]);
    expect(both(sound)).toBe(true);
    expect(both(table([], 1))).toBe(false);
    expect(both(sound.subarray(0, 14))).toBe(false);
    for (const at of [0, 1, 2, 11]) {
      const wrong = Uint8Array.from(sound);
      wrong[at] = (wrong[at] ?? 0) ^ 1;
      expect(both(wrong)).toBe(false);
    }
  });

  it('a table without sections: UTC for ever, no light, no limit, no visits', () => {
    const absent = { limits: undefined, visits: undefined, pulse: undefined, room: undefined };
    const nothing = { initialQuarters: 0, changes: [], patterns: [], tracks: [], bindings: [], ...absent };
    expect(decodeTable(table([]))).toEqual({
      ok: true,
      table: { baseDay: 9500, digest: 0x01020304, ...nothing },
    });
  });

  it('437 bytes, and not 441', () => {
    // Hours of the day, each a minute long: four bytes each after the first.
    const hours = (count: number): Section => [
      7,
      [0, ...Array.from({ length: count }, (_, n) => [...u16(2 * n), ...u16(2 * n + 1)]).flat()],
    ];
    const full = table([[1, [0, ...u24(1), 0]], hours(103)]);
    expect(full.length).toBe(437);
    expect(both(full)).toBe(true);
    expect(both(table([[1, [0, ...u24(1), 0]], hours(104)]))).toBe(false);
  });
});
