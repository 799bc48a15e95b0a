/**
 * Round-the-clock light on days that a clock change makes longer: whatever burns
 * when, also in the 25th hour, its blocks show exactly that by Temporal's reading of
 * the place's clock, and no pattern gets more minutes than it may have.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { lightField } from '../../../compiler/light/field.ts';
import { firstInstant, offsetsFor } from '../../../compiler/plan/utc-offsets.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { type Burn, toBlocks } from '../../../compiler/steer/blocks.ts';
import { lanesOf } from '../../../compiler/table/day-patterns.ts';
import { dayDemands } from '../../../compiler/timeline/demands.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { clockTime, isoDate } from '../../../shared/civil.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import { changeDays } from '../../equivalence/change-plan.ts';
import { intendedLight } from '../../equivalence/intent.ts';
import { ZONES } from '../../equivalence/zones.ts';
import { BOARDS as boards } from '../../support/boards.ts';

const DAY = 86_400;
const DAYS = 4;

const textOf = (timezone: string, first: number, start: number): string =>
  [
    'leanward: 1',
    `place: { timezone: ${timezone} }`,
    'shelves: { s: { height: 0 mm, size: [900 mm, 400 mm], clear: 600 mm } }',
    'zones: { A: { x: [150 mm, 750 mm], bags: [2, 1] } }',
    'lamps:',
    '  left: { beside: A, side: left, output: 1, flux: 400 lm }',
    '  right: { beside: A, side: right, output: 2, flux: 400 lm }',
    'bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }',
    'regimes:',
    `  own: [{ stage: all, days: ${DAYS}, photoperiod: 24 h, start: ${clockTime(start)}, level: [1 lx, 100000 lx], lean: upright }]`,
    `batches: { b: { sealed: ${isoDate(civilDay(first))}, zones: [A], regime: own } }`,
    '',
  ].join('\n');

const drawn = fc.record({
  timezone: fc.constantFrom(...ZONES.filter((zone) => changeDays(zone).length > 0)),
  change: fc.nat(),
  before: fc.integer({ min: 0, max: DAYS - 1 }),
  start: fc.integer({ min: 0, max: 1439 }),
  // Where in its photoperiod what burns changes, minutes before its end.
  cuts: fc.uniqueArray(fc.integer({ min: 1, max: 130 }), { minLength: 1, maxLength: 4 }),
});

it('is shown to the minute, wherever in it what burns changes', () => {
  let long = 0;
  fc.assert(
    fc.property(drawn, ({ timezone, change, before, start, cuts }) => {
      const days = changeDays(timezone);
      const first = itemAt(days, change % days.length) - before;
      const plan = sure(readPlan(textOf(timezone, first, start), { boards }).plan);
      const offsets = offsetsFor(
        timezone,
        utcSeconds((first - 3) * DAY),
        utcSeconds((first + DAYS + 3) * DAY),
      );
      const demands = dayDemands(plan, offsets);
      const outputs = lightField(plan, {}).outputs;
      const burns: Burn[] = demands.flatMap(({ day, demands: [demand] }) => {
        const [from, to] = sure(demand).lit;
        if (to - from > 1440) long++;
        const edges = [from, ...cuts.map((cut) => to - cut).sort((a, b) => a - b), to];
        const lit = { day, from, to, demand: sure(demand) };
        return edges.slice(1).map((end, i) => ({
          ...{ output: itemAt(outputs, i % 2), level: 16, from: itemAt(edges, i), to: end },
          serves: [lit],
        }));
      });
      const blocks = toBlocks(demands, burns);
      const midnight = firstInstant(offsets, first, 0);
      for (const [lag, { number }] of outputs.entries()) {
        const wanted = burns
          .filter(({ output }) => output.number === number)
          .map(({ from, to }) => [from, to].map((even) => midnight + (even - first * 1440) * 60 + lag));
        const shown = intendedLight(timezone, blocks, 0, number).map(({ from, until }) => [from, until]);
        expect(joined(shown)).toEqual(joined(wanted));
      }
      for (const { byDay } of lanesOf(0, blocks, offsets))
        for (const { segments } of byDay.values())
          expect(segments.reduce((sum, { length }) => sum + length, 0)).toBeLessThanOrEqual(1440);
    }),
    { numRuns: 60 },
  );
  expect(long).toBeGreaterThan(10);
});

/** Stretches that touch are one. */
function joined(stretches: readonly (readonly number[])[]): number[][] {
  const all: number[][] = [];
  for (const [from = 0, to = 0] of [...stretches].sort((a, b) => itemAt(a, 0) - itemAt(b, 0))) {
    const last = all.at(-1);
    if (last && from <= itemAt(last, 1)) last[1] = Math.max(itemAt(last, 1), to);
    else all.push([from, to]);
  }
  return all;
}
