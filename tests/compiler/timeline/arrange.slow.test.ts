/** What must hold of visits that had to move, on random plans with days away, few bags a day and early ends. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import { civilDay } from '../../../shared/units.ts';
import { RANDOM_FILES, randomPlan } from '../../equivalence/random-plan.ts';
import { BOARDS } from '../../support/boards.ts';

const BAGS_A_ZONE = 2;

function compiled(text: string) {
  const result = compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES });
  expect(result.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  return { plan: sure(result.plan), ...sure(result.timeline) };
}

/** A plan as the grower wants it, and the same with what makes visits move. */
const both = fc
  .tuple(
    randomPlan,
    fc.integer({ min: 0, max: 40 }),
    fc.integer({ min: 0, max: 9 }),
    fc.constantFrom(2, 3, 4),
  )
  .map(([text, from, length, most]) => {
    const calm = text.replace(/^ {2}away:.*\n/m, '');
    const sealed = sure(dayFromIso(itemAt(sure(/sealed: (\S+),/.exec(calm)), 1)));
    const away = [sealed + from, sealed + from + length].map((day) => isoDate(civilDay(day)));
    const busy = `${calm}  most: ${most} bags\n  away: [[${away.join(', ')}]]\n`;
    return { calm, busy, most };
  });

const name = ({ kind, zone }: VisitOccurrence, day: number): string => `${kind} ${zone} ${day}`;

describe('visits that had to move', () => {
  it('keep away from days away, from too many bags, from empty zones, and none is lost untold', () => {
    let moves = 0;
    fc.assert(
      fc.property(both, ({ calm, busy, most }) => {
        const wanted = compiled(calm).visits;
        const { plan, visits, moved } = compiled(busy);
        moves += moved.length;
        const there = new Set(visits.map((visit) => name(visit, visit.day)));
        expect(there.size).toBe(visits.length);
        const rest = visits.filter(({ kind }) => kind !== 'harvest');
        for (const { day, zone, batch } of rest) {
          expect(plan.visits.away.some(([from, until]) => day >= from && day <= until)).toBe(false);
          const stay = sure(itemAt(plan.batches, batch).zones.find((one) => one.zone === zone));
          expect(day > stay.enters && day < stay.free).toBe(true);
        }
        const left = new Set(
          moved.filter(({ why, to }) => why === 'most' && to === undefined).map(({ visit }) => visit.day),
        );
        for (const day of new Set(rest.map((visit) => visit.day))) {
          const zones = new Set(visits.filter((visit) => visit.day === day).map(({ zone }) => zone));
          if (!left.has(day))
            expect(zones.size * BAGS_A_ZONE).toBeLessThanOrEqual(Math.max(most, BAGS_A_ZONE));
        }
        const told = new Map(moved.map((one) => [name(one.visit, one.visit.day), one]));
        for (const visit of wanted) {
          const move = told.get(name(visit, visit.day));
          if (move === undefined) expect(there).toContain(name(visit, visit.day));
        }
        for (const { visit, to, why } of moved) {
          if (to === undefined) continue;
          const far = Math.abs(to.day - visit.day);
          const most = Math.max(1, visit.interval / 2);
          // Moved out of the days away, it may have to move on for the number of bags.
          expect(far).toBeLessThanOrEqual(why === 'away' ? visit.interval + most : most);
          expect(there).toContain(name(visit, to.day));
        }
        const gone = moved.filter(({ to, joins, why }) => joins || (why === 'away' && to === undefined));
        expect(visits.length).toBe(wanted.length - gone.length);
      }),
      { numRuns: 100 },
    );
    expect(moves).toBeGreaterThan(200);
  });
});
