/** How far strips are drawn out where longer ones are tried. */

import { expect, it } from 'vitest';
import { longerStrips } from '../../../compiler/advice/remedy.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { sure } from '../../../shared/assert.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const rack = (screens: string): string => `leanward: 1
place: { timezone: Etc/UTC }
shelves:
  long: { size: [2000 mm, 450 mm], clear: 520 mm }
zones:
  A: { x: [100 mm, 700 mm], y: [80 mm, 370 mm], bags: [3, 1] }
lamps:
  front: { shelf: long, output: 1, flux: 600 lm, facing: back, strip: { from: [200 mm, 20 mm, 300 mm], to: [600 mm, 20 mm, 300 mm] } }
${screens}
bags:
  tall: { footprint: [200 mm, 120 mm], height: 380 mm, fill: 2.2 kg }
batches:
  spring: { sealed: 2026-02-16 }
`;

it.each([
  // From 20 mm within one edge to 20 mm within the other.
  ['the edges of the shelf', '', 1960],
  ['a screen across the shelf', 'screens: { mid: { x: 1000 mm } }', 960],
  // A screen that the strip's line does not meet.
  [
    'no screen behind it',
    'screens: { mid: { from: [1000 mm, 200 mm, 0 mm], to: [1000 mm, 450 mm, 520 mm] } }',
    1960,
  ],
])('a strip may reach as far as %s', (_, screens, length) => {
  const plan = sure(readPlan(rack(screens), { boards }).plan);
  expect(longerStrips(plan, 0)).toEqual({ kind: 'longer', lamps: [0], lengths: [length] });
});
