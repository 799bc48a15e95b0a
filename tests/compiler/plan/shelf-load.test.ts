/** What bags weigh on a shelf, by hand: 50 bags of 5 lb with 5 % of spawn are 262.5 lb (NIST: 1 lb = 0.45359237 kg). */

import { expect, it } from 'vitest';
import { shelfLoads } from '../../../compiler/plan/shelf-load.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { carryWords } from '../../../shared/measures.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const plan = (batches: string) =>
  sure(
    readPlan(
      `leanward: 1
place: { timezone: America/Chicago }
shelves:
  one: { height: 0 in, size: [96 in, 30 in], clear: 20 in }
  two: { height: 30 in, size: [96 in, 30 in], clear: 20 in }
zones:
  A: { shelf: one, bags: [10, 5] }
  B: { shelf: two, bags: [2, 1] }
bags:
  tall: { footprint: [8 in, 5 in], height: 15.5 in, fill: 5 lb }
  small: { footprint: [8 in, 5 in], height: 12 in, fill: 2 lb, mix: { parts: { sawdust: 100 % }, spawn: 10 % } }
batches:
${batches}`,
      { boards },
    ).plan,
  );

it('adds up bags with their spawn', () => {
  const loads = shelfLoads(plan('  spring: { sealed: 2026-02-16, zones: [A], bag: tall }\n'));
  expect(loads).toHaveLength(1);
  expect(itemAt(loads, 0)).toMatchObject({ shelf: 'one', bags: 50 });
  expect(itemAt(loads, 0).kg / 0.45359237).toBeCloseTo(262.5, 9);
  expect(carryWords(itemAt(loads, 0).kg, 'us')).toBe('262 lb');
});

it('takes the heaviest that ever stands in a place', () => {
  const loads = shelfLoads(
    plan(`  first: { sealed: 2026-02-16, zones: [B], bag: small }
  second: { sealed: 2026-08-16, zones: [B], bag: tall }
`),
  );
  expect(itemAt(loads, 0).kg / 0.45359237).toBeCloseTo(2 * 5 * 1.05, 9);
});
