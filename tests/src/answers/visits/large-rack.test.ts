/** The coming work and the bag sheets of a rack of a thousand bags: a screenful each, with every zone in tonight's work. */

import { describe, expect, it } from 'vitest';
import { readPlan } from '../../../../compiler/read-plan.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { sure } from '../../../../shared/assert.ts';
import { dayFromIso, isoDate } from '../../../../shared/civil.ts';
import { civilDay } from '../../../../shared/units.ts';
import { sheetPart } from '../../../../src/answers/prep/kept.ts';
import { partsText } from '../../../../src/answers/prep/text.ts';
import { comingLines, workText } from '../../../../src/answers/visits/text.ts';
import { type WorkItem, workFrom } from '../../../../src/answers/visits/work.ts';
import { BOARDS } from '../../../support/boards.ts';
import { rackText } from '../../../support/racks.ts';

const SCREENFUL = 50;
const plan = sure(
  readPlan(rackText({ zones: 200, bags: [5, 1], beside: 8, unlike: true }), { boards: BOARDS }).plan,
);
const known = { visits: visitOccurrences(plan), notes: [], outcomes: new Map() };
const start = sure(dayFromIso('2026-02-10'));
const days = Array.from({ length: 9 }, (_, n) => civilDay(start + 17 * n));
const workOn = (day: (typeof days)[number]): WorkItem[] => workFrom(plan, known, day, 14);

/** Every zone of a line, its stretches taken apart. */
const zonesIn = (line: string): string[] =>
  [...line.matchAll(/(S\d+)([a-h])(?: to (S\d+)([a-h]))?/g)].flatMap(([, shelf, from = '', , to = from]) =>
    [...'abcdefgh'].filter((one) => one >= from && one <= to).map((one) => `${shelf}${one}`),
  );

describe.each(days.map((day) => [isoDate(day), day] as const))('on %s', (_, day) => {
  const items = workOn(day);
  const lines = workText(items, day, 14).split('\n');

  it('a fortnight fits a screen', () => {
    expect(lines.length).toBeLessThanOrEqual(SCREENFUL);
  });

  it("tonight's work names every zone, once for each kind of work", () => {
    for (const kind of ['lift', 'look', 'harvest'] as const) {
      const wanted = items.filter((item) => item.day === day && item.kind === kind).map(({ zone }) => zone);
      const told = lines.filter((line) => new RegExp(`^  \\d\\d:\\d\\d–\\d\\d:\\d\\d  ${kind}`).test(line));
      expect(told.flatMap(zonesIn).sort()).toEqual(wanted.sort());
    }
  });

  it('each day to come is there', () => {
    const coming = comingLines(items, day).join('\n');
    for (const item of items) if (item.day > day) expect(coming).toContain(isoDate(item.day));
  });
});

it('bag sheets that are the same are told once, and whose they are in a line', () => {
  const text = partsText(plan.batches.map((batch) => sheetPart(plan, batch, [], 'us', 0)));
  expect(text.split('\n').length).toBeLessThanOrEqual(SCREENFUL / 2);
  expect(text).toContain(`  b1 to b${plan.batches.length}: 40 bags of tall, each`);
});
