/** Until when a board reminds, read from its table alone: against what the compiler says that it left out. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { civilDay } from '../../../../shared/units.ts';
import { remindersOnBoard } from '../../../../src/answers/visits/on-board.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';

/** The pantry with so many days away that not all visits fit. */
function crowded(): string {
  const away = [40, 52, 61, 75, 84, 97].map((after) => {
    const from = 9543 + after;
    return `[${isoDate(civilDay(from))}, ${isoDate(civilDay(from + 3))}]`;
  });
  return samplePlan('pantry').replace('visits:\n', `visits:\n  away: [${away.join(', ')}]\n  most: 3 bags\n`);
}

const asked = (text: string, cut: number | undefined) => {
  const boards =
    cut === undefined
      ? BOARDS
      : Object.fromEntries(
          Object.entries(BOARDS).map(([id, board]) => [
            id,
            { ...board, memory: { ...board.memory, tableBytes: cut } },
          ]),
        );
  const { tables, timeline, plan } = compilePlan(text, { boards, advise: false });
  const table = itemAt(tables, 0);
  const { visits, offsets } = sure(timeline);
  const today = sure(itemAt(sure(plan).batches, 0)).sealed;
  const told = remindersOnBoard(table.encoded.bytes, visits, 0, offsets, today);
  return { told, until: table.remindersUntil };
};

it('is nothing where all are on the board', () => {
  expect(asked(samplePlan('pantry'), undefined)).toEqual({ told: undefined, until: undefined });
});

it.each([300, 260, 220, 180])('is the day that the compiler told, on a board of %i bytes', (bytes) => {
  const { told, until } = asked(crowded(), bytes);
  expect(until).toBeDefined();
  expect(told).toBe(until);
});
