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

/** Two batches beside each other with nothing between: B's lamps reach A, whose bags go first. */
const NEIGHBOURS = PLAN.replace(
  'A: { x: [300 mm, 600 mm]',
  'B: { x: [610 mm, 890 mm], y: [60 mm, 390 mm], bags: [1, 1] }, A: { x: [300 mm, 600 mm]',
)
  .replace(/ {2}right: .*\n/, '  right: { beside: B, side: front, output: 2, flux: 2000 lm }\n')
  .replace('days: 112', 'days: 20')
  .replace('one: {', 'two: { sealed: 2026-02-20, regime: own, zones: [B] }, one: { zones: [A],');

it('tells nothing of a zone that is empty, though a neighbour shines into it', () => {
  const { plan, timeline, tables, findings } = compilePlan(NEIGHBOURS, { boards: BOARDS, advise: false });
  expect(findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  const last = civilDay(sure(dayFromIso('2026-03-07')));
  const [from, until] = [utcSeconds(last * 86_400), utcSeconds((last + 2) * 86_400)];
  const run = {
    table: itemAt(tables, 0),
    trace: [{ utc: from, levels: Uint8Array.of(0, 255, 0, 0, 0, 0, 0, 0) }],
  };
  const days = simulatedDays(
    { plan: sure(plan), timeline: sure(timeline) } as never,
    [run as never],
    from,
    until,
  );
  const told = days.map(({ batch, day, seconds }) => `${batch} ${day - last} ${seconds.has('dark')}`);
  expect(told).toEqual(['two 0 false', 'two 1 false', 'one 0 false']);
});
