/**
 * Random blocks of light around clock changes, and the table that they are
 * factored into.
 */

import fc from 'fast-check';
import { offsetsFor } from '../../compiler/plan/utc-offsets.ts';
import type { Block, DayBlocks } from '../../compiler/steer/block.ts';
import { lanesOf } from '../../compiler/table/day-patterns.ts';
import { factorLanes } from '../../compiler/table/factor.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { civilDay, minutes, utcSeconds } from '../../shared/units.ts';
import { ZONES } from './zones.ts';

const DAY = 86_400;

/** One output's day: where its photoperiod starts and which parts of it are lit. */
const part = fc.record({
  output: fc.integer({ min: 1, max: 8 }),
  anchor: fc.integer({ min: 0, max: 95 }).map((quarter) => quarter * 15),
  steady: fc.boolean(),
  dark: fc.integer({ min: 0, max: 20 }).map((quarters) => quarters * 15),
  lit: fc.oneof(
    fc.integer({ min: 1, max: 40 }).map((quarters) => quarters * 15),
    fc.constant(1440),
  ),
  level: fc.integer({ min: 1, max: 16 }),
  days: fc.integer({ min: 1, max: 9 }),
  every: fc.integer({ min: 1, max: 3 }),
});

/** A place, a day near one of its clock changes, and what burns from then on. */
export const scene = fc.record({
  timezone: fc.constantFrom(...ZONES),
  // Around the spring and autumn changes of either hemisphere.
  first: fc.constantFrom(
    '2026-03-05',
    '2026-03-25',
    '2026-04-01',
    '2026-04-22',
    '2026-09-02',
    '2026-09-24',
    '2026-10-22',
    '2026-10-29',
  ),
  parts: fc.array(part, { minLength: 1, maxLength: 6 }),
});

/** The scene's blocks over 30 days. */
export function daysOf(input: { timezone: string; first: string; parts: readonly PartOfDay[] }): DayBlocks[] {
  const first = sure(dayFromIso(input.first));
  const offset = offsetsFor(
    input.timezone,
    utcSeconds(first * DAY),
    utcSeconds((first + 1) * DAY),
  ).initialQuarters;
  const taken = new Map<string, Block>();
  for (const one of input.parts) {
    for (let day = 0; day < one.days * one.every; day += one.every) {
      const from = one.lit === 1440 ? 0 : one.dark;
      const block: Block = {
        controller: 0,
        output: one.output,
        anchor: minutes(one.anchor),
        clock: one.steady ? { offsetQuarters: offset } : 'civil',
        from,
        length: one.lit,
        level: one.level,
        continuous: one.lit === 1440,
      };
      taken.set(`${day} ${one.output} ${one.anchor} ${one.steady}`, block);
    }
  }
  return Array.from({ length: 30 }, (_, day) => ({
    day: civilDay(first + day),
    blocks: [...taken].filter(([name]) => name.startsWith(`${day} `)).map(([, block]) => block),
  }));
}

type PartOfDay = typeof part extends fc.Arbitrary<infer Value> ? Value : never;

/** The bytes of the table that says them. */
export function tableOf(timezone: string, days: readonly DayBlocks[]): Uint8Array {
  const baseDay = itemAt(days, 0).day - 1;
  const offsets = offsetsFor(timezone, utcSeconds(baseDay * DAY), utcSeconds((baseDay + 40) * DAY));
  return encodeTable({
    baseDay: civilDay(baseDay),
    digest: 0,
    initialQuarters: offsets.initialQuarters,
    changes: offsets.changes.map(({ at, quarters }) => ({ minute: at / 60 - baseDay * 1440, quarters })),
    ...factorLanes(lanesOf(0, days, offsets), baseDay),
    limits: undefined,
    visits: undefined,
    pulse: undefined,
    room: undefined,
  }).bytes;
}
