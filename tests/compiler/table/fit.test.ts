/** A table for ever less room: light whole, visits as far as they fit, and no byte for what is not there. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { Block } from '../../../compiler/steer/block.ts';
import { assembleTable } from '../../../compiler/table/assemble.ts';
import { type FittedTable, fitTable } from '../../../compiler/table/fit.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay, minutes } from '../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

const compiled = compilePlan(samplePlan('smallest'), { boards: BOARDS, advise: false });
const { days, offsets, visits } = sure(compiled.timeline);
const input = { plan: sure(compiled.plan), controller: 0, days, offsets, visits, digest: 7 };
const dueDays = [...new Set(visits.map(({ day }) => Number(day)))].sort((a, b) => a - b);

const sizeOf = (until: number): number =>
  encodedSize({ ...input, visits: visits.filter(({ day }) => day <= until) });
const encodedSize = (one: typeof input): number =>
  fitTable(one, TABLE_MAX_BYTES, undefined).encoded.bytes.length;

function checkFit({ table, encoded, fits, remindersUntil }: FittedTable, limit: number): void {
  expect(fits).toBe(true);
  expect(encoded.bytes.length).toBeLessThanOrEqual(limit);
  expect(encodeTable(table).bytes).toEqual(encoded.bytes);
  const until = sure(remindersUntil);
  // The next day that has visits does not fit any more, and the day told is the one before it.
  const next = sure(dueDays.find((day) => day > until));
  expect(until).toBe(next - 1);
  expect(sizeOf(until)).toBe(encoded.bytes.length);
  expect(sizeOf(next)).toBeGreaterThan(limit);
}

it('leaves a table that fits as it is, to the last byte, and names the last whole day of one that does not', () => {
  const whole = fitTable(input, TABLE_MAX_BYTES, undefined);
  const size = whole.encoded.bytes.length;
  const light = sizeOf(0);
  expect(fitTable(input, size, undefined)).toEqual({ ...whole, fits: true, remindersUntil: undefined });
  for (let limit = size - 1; limit >= light; limit -= 6) checkFit(fitTable(input, limit, undefined), limit);
});

it('holds no section of visits where it has none (table-format.md: absent means no visits)', () => {
  const light = sizeOf(0);
  const bare = fitTable(input, light, undefined);
  expect(bare).toMatchObject({ fits: true, remindersUntil: itemAt(dueDays, 0) - 1 });
  expect(bare.table).toMatchObject({ visits: undefined, pulse: undefined, room: undefined });
  // Without a byte for light there is nothing that could be left out.
  expect(fitTable(input, light - 1, undefined).fits).toBe(false);
  expect(fitTable({ ...input, visits: [] }, light - 1, undefined)).toMatchObject({
    fits: false,
    remindersUntil: undefined,
  });
});

it('leaves out first what is over by the day from which it is made', () => {
  const from = civilDay(itemAt(dueDays, dueDays.length - 2));
  // What is open on that day still, or comes later.
  const left = visits.filter(({ day, days: open }) => day + open - 1 >= from);
  const limit = encodedSize({ ...input, visits: left });
  expect(limit).toBeLessThan(sizeOf(Number.POSITIVE_INFINITY));
  const { table, remindersUntil } = fitTable(input, limit, from);
  expect(remindersUntil).toBeUndefined();
  expect(table).toEqual(fitTable({ ...input, visits: left }, limit, undefined).table);
});

it('holds no limits where outputs need no dwell and burn round the clock, and no more than one that is needed', () => {
  const limitsOf = (board: string, photoperiod: string) => {
    const text = samplePlan('smallest').replace(
      'batches:',
      `controllers: { rack: { board: ${board} } }\nregimes:\n  antler:\n` +
        `    - { stage: wake, days: 14, photoperiod: ${photoperiod} }\nbatches:`,
    );
    return itemAt(compilePlan(text, { boards: BOARDS, advise: false }).tables, 0).table.limits;
  };
  // Dwell by board.json; two hours more than the longest light.
  expect(limitsOf('mega328-dim6', '24 h')).toBeUndefined();
  expect(limitsOf('mega328-dim6', '9 h')).toEqual({ dwellSeconds: 0, longestOnMinutes: 11 * 60 });
  expect(limitsOf('mega328-relay8', '24 h')).toEqual({ dwellSeconds: 3, longestOnMinutes: 0 });
  expect(limitsOf('mega328-relay8', '9 h 10 min')).toEqual({ dwellSeconds: 3, longestOnMinutes: 12 * 60 });
});

it('counts light of two photoperiods that touch as unbroken, in whatever order they came to be', () => {
  const first = itemAt(days, 0).day;
  const lit = (anchor: number, length: number): Block => ({
    ...{ controller: 0, output: 1, anchor: minutes(anchor), clock: 'civil', from: 0, length },
    ...{ level: 16, continuous: false },
  });
  // 12:00 to 20:00 on both days, 08:00 to 12:00 before it on the second: 12 hours, and two more.
  const [noon, morning] = [lit(720, 480), lit(480, 240)];
  const two = [
    { day: first, blocks: [noon] },
    { day: civilDay(first + 1), blocks: [morning, noon] },
  ];
  expect(assembleTable({ ...input, days: two, visits: [] }).limits?.longestOnMinutes).toBe(14 * 60);
});
