/** What `simulate` says of each zone's light is what the compiler's own light field says. */

import { expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { dayFromIso } from '../../../../shared/civil.ts';
import { civilDay, utcSeconds } from '../../../../shared/units.ts';
import { simulatedDays } from '../../../../src/answers/simulate/summary.ts';
import { BOARDS } from '../../../support/boards.ts';

/** One bag between two lamps of which the right one, by its measured file, shines at the wall. */
const PLAN = `leanward: 1
place: { timezone: UTC }
shelves: { s: { size: [900 mm, 450 mm], clear: 520 mm } }
zones: { A: { x: [300 mm, 600 mm], y: [60 mm, 390 mm], bags: [1, 1] } }
lamps:
  left: { beside: A, side: left, output: 1, flux: 500 lm }
  right: { beside: A, side: right, output: 2, flux: 500 lm, photometry: weak.ies }
bags: { tall: { footprint: [200 mm, 120 mm], height: 480 mm, fill: 2.2 kg } }
regimes: { own: [ { stage: climb, days: 112, photoperiod: 12 h, start: 08:00, level: [1 lx, 100000 lx], lean: upright } ] }
batches: { one: { sealed: 2026-02-16, regime: own } }
`;

/** LM-63 of our own making: one lamp, three vertical angles, nearly all of it behind the lamp. */
const WEAK = 'IESNA:LM-63-2002\nTILT=NONE\n1 500 1 3 1 1 2 0 0 0\n1 1 4\n0 90 180\n0\n1 1 2000\n';

/** The ceiling lights a zone that has no lamp on (its light comes from above, so upright faces get little of it). */
const CEILING = PLAN.replace(
  '\nbags:',
  '\nbackground: { ceiling: { from: above, level: 30 lx, hours: [10:00, 13:00], on: [Mon] } }\nbags:',
);

it('calls no zone dark that the room lights, while it does', () => {
  const { plan, timeline, tables, findings } = compilePlan(CEILING, {
    boards: BOARDS,
    photometry: { 'weak.ies': WEAK },
  });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const first = civilDay(sure(dayFromIso('2026-03-02')));
  const [from, until] = [utcSeconds(first * 86_400), utcSeconds((first + 2) * 86_400)];
  const run = { table: itemAt(tables, 0), trace: [{ utc: from, levels: new Uint8Array(8) }] };
  const [monday, tuesday] = simulatedDays(
    { plan: sure(plan), timeline: sure(timeline) } as never,
    [run as never],
    from,
    until,
  );
  expect(Object.fromEntries(sure(monday).seconds)).toEqual({ dark: 21 * 3600, upright: 3 * 3600 });
  expect(Object.fromEntries(sure(tuesday).seconds)).toEqual({ dark: 86_400 });
});

it('counts a lamp by its measured file', () => {
  const { plan, timeline, tables, findings } = compilePlan(PLAN, {
    boards: BOARDS,
    photometry: { 'weak.ies': WEAK },
  });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const first = civilDay(sure(dayFromIso('2026-03-02')));
  const [from, until] = [utcSeconds(first * 86_400), utcSeconds((first + 1) * 86_400)];
  const run = {
    table: itemAt(tables, 0),
    trace: [{ utc: from, levels: Uint8Array.of(255, 255, 0, 0, 0, 0, 0, 0) }],
  };
  const [day] = simulatedDays(
    { plan: sure(plan), timeline: sure(timeline) } as never,
    [run as never],
    from,
    until,
  );
  expect(sure(day).seconds.get('left')).toBe(86_400);
});
