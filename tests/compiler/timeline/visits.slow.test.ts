import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { visitOccurrences } from '../../../compiler/timeline/visits.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { dayFromIso, isoDate, weekday } from '../../../shared/civil.ts';
import type { Visits } from '../../../shared/table.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { civilDay } from '../../../shared/units.ts';
import { RANDOM_FILES, randomPlan } from '../../equivalence/random-plan.ts';
import { BOARDS } from '../../support/boards.ts';
import { ofCode } from '../../support/findings.ts';

/** One shelf, two zones, one batch each; the visits as given. Dates are worked out by hand below. */
function plan(visits: string, more: { lean?: string; sealedB?: string; lift?: string } = {}): string {
  const { lean = 'upright', sealedB = '2026-03-02', lift = 'lift: { every: 3 d, at: 18:00 }' } = more;
  return `leanward: 1
place: { timezone: Europe/Lisbon }
shelves: { s: { size: [1800 mm, 450 mm], clear: 560 mm } }
zones:
  A: { x: [100 mm, 700 mm], bags: [3, 1] }
  B: { x: [1000 mm, 1600 mm], bags: [2, 1] }
lamps:
  A-left: { beside: A, side: left, output: 1, flux: 400 lm }
  A-right: { beside: A, side: right, output: 2, flux: 400 lm }
  B-left: { beside: B, side: left, output: 3, flux: 400 lm }
  B-right: { beside: B, side: right, output: 4, flux: 400 lm }
bags: { tall: { footprint: [150 mm, 150 mm], height: 480 mm, fill: 2.2 kg } }
regimes:
  short:
    - { stage: colonise, days: 7, light: none }
    - { stage: climb, days: 14, photoperiod: 12 h, start: 08:00, lean: ${lean}, ${lift} }
batches:
  one: { sealed: 2026-03-02, zones: [A], regime: short }
  two: { sealed: ${sealedB}, zones: [B], regime: short }
visits: ${visits}
`;
}

function compiled(text: string) {
  const result = compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES });
  expect(result.findings.filter(({ severity }) => severity === 'error')).toEqual([]);
  return { ...result, plan: sure(result.plan), timeline: sure(result.timeline) };
}

/** `2026-03-12 18:00 lift A` of every visit. */
function listed(text: string): string[] {
  const { plan: resolved, timeline } = compiled(text);
  return timeline.visits.map(({ day, at, kind, zone }) => {
    const time = `${String(Math.floor(at / 60)).padStart(2, '0')}:${String(at % 60).padStart(2, '0')}`;
    return `${isoDate(day)} ${time} ${kind} ${itemAt(resolved.zones, zone).name}`;
  });
}

const ONLY_LIFTS = '{ hours: [08:00, 21:00], look: { every: 60 d }, harvest: { from: 90 d, until: 112 d } }';

describe('when visits fall', () => {
  it('lifts every so many days into their stage, not on its first day', () => {
    // Climb begins on 9 March (day 7) and ends before 23 March.
    const lifts = listed(plan(ONLY_LIFTS)).filter((line) => line.endsWith('lift A'));
    expect(lifts.map((line) => line.slice(0, 10))).toEqual([
      '2026-03-12',
      '2026-03-15',
      '2026-03-18',
      '2026-03-21',
    ]);
  });

  it('looks on weekdays through the whole stay', () => {
    const looks = listed(
      plan('{ hours: [08:00, 21:00], look: { on: [Tue, Fri], at: 09:00 } }', {
        lift: 'lift: { every: 13 d, at: 09:00 }',
      }),
    );
    const days = looks
      .filter((line) => line.endsWith('look A'))
      .map((line) => sure(dayFromIso(line.slice(0, 10))));
    // 2 March 2026 is a Monday; the three weeks to 22 March have Tuesday and Friday three times each.
    expect(days.map((day) => isoDate(day))).toEqual([
      '2026-03-03',
      '2026-03-06',
      '2026-03-10',
      '2026-03-13',
      '2026-03-17',
      '2026-03-20',
    ]);
    expect(days.every((day) => weekday(day) === 1 || weekday(day) === 4)).toBe(true);
  });

  it('harvest opens once and stays open, cut where the bags leave', () => {
    const { timeline } = compiled(
      plan('{ hours: [08:00, 21:00], harvest: { from: 14 d, until: 18 d, at: 10:00 } }'),
    );
    const harvest = timeline.visits.filter(({ kind }) => kind === 'harvest');
    expect(harvest.map(({ day, days }) => [isoDate(day), days])).toEqual([
      ['2026-03-16', 4],
      ['2026-03-16', 4],
    ]);
  });

  it('turns on each change of side when the bags are turned', () => {
    const turns = listed(
      plan(ONLY_LIFTS, { lean: '{ sway: [left, right], every: 5 d, by: turning }' }),
    ).filter((line) => line.endsWith('turn A'));
    expect(turns.map((line) => line.slice(0, 10))).toEqual(['2026-03-14', '2026-03-19']);
  });

  it('does not turn on the day the stage ends: 14 days turned each 7 have one turn', () => {
    const turns = listed(
      plan(ONLY_LIFTS, { lean: '{ sway: [left, right], every: 7 d, by: turning }' }),
    ).filter((line) => line.endsWith('turn A'));
    expect(turns.map((line) => line.slice(0, 10))).toEqual(['2026-03-16']);
  });

  it("a stage's own look takes the place of the plan's while it lasts", () => {
    const visits = '{ hours: [08:00, 21:00], look: { every: 2 d, at: 09:00 } }';
    const looks = listed(plan(visits, { lift: 'look: { every: 6 d, at: 10:00 }' })).filter((line) =>
      line.endsWith('look A'),
    );
    // Every second day until climb begins on 9 March, then every sixth day of climb.
    expect(looks.map((line) => line.slice(0, 16))).toEqual([
      '2026-03-04 09:00',
      '2026-03-06 09:00',
      '2026-03-08 09:00',
      '2026-03-15 10:00',
      '2026-03-21 10:00',
    ]);
  });

  it("the plan's own lift is for the stages with light", () => {
    const visits = '{ hours: [08:00, 21:00], look: { every: 60 d }, lift: { every: 5 d, at: 18:00 } }';
    const text = plan(visits, { lift: 'level: [1 lx, 100000 lx]' });
    const lifts = listed(text).filter((line) => line.endsWith('lift A'));
    expect(lifts.map((line) => line.slice(0, 10))).toEqual(['2026-03-14', '2026-03-19']);
  });

  it('harvest opens at the earliest when the bags come into their zone', () => {
    const visits = '{ hours: [08:00, 21:00], harvest: { from: 3 d, until: 18 d, at: 10:00 } }';
    const { timeline } = compiled(
      plan(visits).replace('zones: [A], regime: short', 'zones: [A], regime: short, enters: climb'),
    );
    const [harvest] = timeline.visits.filter(({ kind, zone }) => kind === 'harvest' && zone === 0);
    expect([isoDate(sure(harvest).day), sure(harvest).days]).toEqual(['2026-03-09', 11]);
  });

  it("belong to the controller of their zone's lamps", () => {
    const text = plan(ONLY_LIFTS)
      .replace('shelves:', 'controllers: { one: { unit: 1 }, two: { unit: 2 } }\nshelves:')
      .replace(/^( {2}A-.*)output: /gm, '$1output: two/')
      .replace(/^( {2}B-.*)output: /gm, '$1output: one/');
    const { timeline, tables } = compiled(text);
    expect(new Set(timeline.visits.map(({ zone, controller }) => `${zone} ${controller}`))).toEqual(
      new Set(['0 1', '1 0']),
    );
    expect(tables.map(({ table }) => table.visits?.zoneCount)).toEqual([1, 1]);
  });

  it('one walk a day: what has no time of its own is due with what has one, and a written time is kept', () => {
    const visits = '{ hours: [08:00, 21:00], look: { every: 10 d, at: 09:30 } }';
    // Lifts on 12, 15 … with no time of their own; looks on 12 March at 09:30: the walk of the 12th is at 09:30.
    const lines = listed(plan(visits, { lift: 'lift: { every: 3 d }' }));
    expect(listed(plan(visits))).toContain('2026-03-12 18:00 lift A');
    expect(lines.filter((line) => line.startsWith('2026-03-12'))).toEqual([
      '2026-03-12 09:30 look A',
      '2026-03-12 09:30 lift A',
      '2026-03-12 09:30 look B',
      '2026-03-12 09:30 lift B',
    ]);
    expect(lines.filter((line) => line.startsWith('2026-03-15'))).toEqual([
      '2026-03-15 18:00 lift A',
      '2026-03-15 18:00 lift B',
    ]);
  });
});

describe('visits that must move', () => {
  it('go to the nearest day at home, the earlier of two', () => {
    const lifts = listed(
      plan(ONLY_LIFTS.replace('}, harvest', '}, away: [[2026-03-14, 2026-03-16]], harvest')),
    ).filter((line) => line.endsWith('lift A'));
    expect(lifts.map((line) => line.slice(0, 10))).toEqual([
      '2026-03-12',
      '2026-03-13',
      '2026-03-18',
      '2026-03-21',
    ]);
  });

  it('are dropped and told when they would move by more than their interval', () => {
    const { timeline, findings } = compiled(
      plan(ONLY_LIFTS.replace('}, harvest', '}, away: [[2026-03-11, 2026-03-19]], harvest')),
    );
    const days = timeline.visits
      .filter(({ kind, zone }) => kind === 'lift' && zone === 0)
      .map(({ day }) => isoDate(day));
    expect(days).toEqual(['2026-03-10', '2026-03-20', '2026-03-21']);
    const dropped = ofCode(findings, 'visit-dropped').flatMap(({ facts }) => facts.visits);
    expect(dropped).toContainEqual({ kind: 'lift', zone: 'A', day: '2026-03-15', to: undefined });
  });

  it('spread over days when there are more bags than wanted', () => {
    // Zone A has 3 bags, B has 2: with 3 a day, B goes a day later.
    const lines = listed(plan(ONLY_LIFTS.replace('}, harvest', '}, most: 3 bags, harvest')));
    expect(lines.filter((line) => line.includes('lift')).slice(0, 4)).toEqual([
      '2026-03-12 18:00 lift A',
      '2026-03-13 18:00 lift B',
      '2026-03-15 18:00 lift A',
      '2026-03-16 18:00 lift B',
    ]);
  });
});

describe('a zone with several visits on one day', () => {
  it('counts its bags once: both stay on their day', () => {
    const visits = '{ hours: [08:00, 21:00], look: { every: 10 d, at: 18:00 }, most: 3 bags }';
    expect(listed(plan(visits)).filter((line) => line.startsWith('2026-03-12'))).toEqual([
      '2026-03-12 18:00 look A',
      '2026-03-12 18:00 lift A',
    ]);
  });
});

/** Every visit a table's groups say, by the words of the format alone. */
function played(visits: Visits, baseDay: number): string[] {
  const found: string[] = [];
  for (const { entries, bindings } of visits.groups) {
    for (const { startDay, zones } of bindings) {
      for (const entry of entries) {
        const first = baseDay + startDay + entry.from;
        const days: number[] = [];
        if (entry.form === 'every') for (let i = 0; i < entry.count; i++) days.push(first + i * entry.every);
        else if (entry.form === 'weekdays') {
          for (let i = 0; i < entry.days; i++)
            if (entry.mask & (1 << weekday(civilDay(first + i)))) days.push(first + i);
        } else days.push(first);
        for (let zone = 0; zone < 16; zone++) {
          if (zones & (1 << zone))
            found.push(
              ...days.map(
                (day) => `${day} ${entry.at} ${entry.kind} ${zone} ${entry.form === 'open' ? entry.days : 1}`,
              ),
            );
        }
      }
    }
  }
  return found.sort();
}

describe('visits in the table', () => {
  it('are exactly the visits of the plan, each once', () => {
    fc.assert(
      fc.property(randomPlan, (text) => {
        const { plan: resolved, timeline, tables } = compiled(text);
        const decoded = decodeTable(itemAt(tables, 0).encoded.bytes);
        if (!decoded.ok) throw new Error(decoded.why);
        const wanted = timeline.visits
          .map(({ day, at, kind, zone, days }) => `${day} ${at} ${kind} ${zone} ${days}`)
          .sort();
        const { visits, baseDay } = decoded.table;
        expect(visits ? played(visits, baseDay) : []).toEqual(wanted);
        expect(visitOccurrences(resolved)).toEqual(timeline.visits);
      }),
      { numRuns: 60 },
    );
  });
});
