import { describe, expect, it } from 'vitest';
import { offsetsFor } from '../../../../compiler/plan/utc-offsets.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { sure } from '../../../../shared/assert.ts';
import type { LogRecord } from '../../../../shared/log.ts';
import { VISIT_KINDS } from '../../../../shared/table.ts';
import { civilDay, utcSeconds } from '../../../../shared/units.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import {
  correct,
  missedWhereTakenBack,
  outcomesOf,
  takenBack,
  visitKey,
} from '../../../../src/answers/visits/outcomes.ts';
import { cautionsFor, workText } from '../../../../src/answers/visits/text.ts';
import { type Known, workFrom } from '../../../../src/answers/visits/work.ts';
import { day, planOf, sampleText } from './plan.ts';

const plan = planOf(sampleText('pantry'));
const visits = visitOccurrences(plan);
const nothing: Known = { visits, notes: [], outcomes: new Map() };
const cull = (bag: string, iso: string, batch = 'early'): Note => ({
  ...{ id: bag, plan: 'pantry', batch, zone: bag.slice(0, 1), bag, day: day(iso), writtenMs: 0 },
  ...{ kind: 'cull', why: 'mould' },
});

describe('the coming work', () => {
  it('goes from zone to zone as the plan has them', () => {
    const changes = [
      ['  A: {', '  A9: {'],
      ['  C: {', '  A10: {'],
      ['zones: [A, C]', 'zones: [A9, A10]'],
    ] as const;
    const named = planOf(changes.reduce((text, [from, to]) => text.replace(from, to), sampleText('pantry')));
    const items = workFrom(named, { ...nothing, visits: visitOccurrences(named) }, day('2026-04-02'), 1);
    expect(items.map(({ zone }) => zone)).toEqual(['A9', 'A10']);
  });

  it('of the first lift of the climb is what the plan says', () => {
    // Early is sealed on 16 February; the climb begins 42 days later, 30 March; lifts every 3 days after that.
    const items = workFrom(plan, nothing, day('2026-04-02'), 1);
    expect(
      items.map(({ zone, kind, bags, places, at, until }) => ({ zone, kind, bags, places, at, until })),
    ).toEqual([
      {
        zone: 'A',
        kind: 'lift',
        bags: ['early-01', 'early-02'],
        places: ['A-1', 'A-2'],
        at: 1080,
        until: 1260,
      },
      {
        zone: 'C',
        kind: 'lift',
        bags: ['early-03', 'early-04'],
        places: ['C-1', 'C-2'],
        at: 1080,
        until: 1260,
      },
    ]);
    expect(workFrom(plan, nothing, day('2026-04-03'), 1)).toEqual([]);
  });

  it('shows a harvest when it opens, weekly, and on its last three days', () => {
    // Day 90 to 111 after sealing: 17 May to 7 June.
    const shown = workFrom(plan, nothing, day('2026-05-10'), 60)
      .filter((item) => item.kind === 'harvest' && item.zone === 'A')
      .map((item) => item.day - day('2026-05-17'));
    expect(shown).toEqual([0, 7, 14, 19, 20, 21]);
  });

  it('is told with one line of advice a kind and the cautions once', () => {
    const text = workText(workFrom(plan, nothing, day('2026-04-02'), 14), day('2026-04-02'), 14);
    expect(text).toContain(
      'Today, Thu 2026-04-02:\n  18:00–21:00  lift A (A-1 and A-2), batch early, climbing',
    );
    const today = text.slice(0, text.indexOf('2026-04-05'));
    expect(today.match(/Lift the film/g)).toHaveLength(1);
    expect(text.match(/suspects last/g)).toHaveLength(1);
    expect(text).not.toMatch(/blade/);
    expect(cautionsFor(workFrom(plan, nothing, day('2026-05-17'), 1)).join()).toMatch(/blade/);
  });

  it('of a large rack is a line for what is alike, with zones and counts', () => {
    const zones = Array.from({ length: 40 }, (_, i) => `Z${i}`);
    const [item] = workFrom(plan, nothing, day('2026-04-02'), 1);
    const places = (zone: string) => Array.from({ length: 25 }, (_, i) => `${zone}-${i + 1}`);
    const many = ['2026-04-02', '2026-04-05'].flatMap((iso) =>
      zones.map((zone) => ({ ...sure(item), zone, day: day(iso), places: places(zone), bags: places(zone) })),
    );
    const text = workText(many, day('2026-04-02'), 14);
    expect(text.split('\n').slice(0, 4)).toEqual([
      'Today, Thu 2026-04-02:',
      '  18:00–21:00  lift Z0 to Z39 (40 zones, 1000 bags), batch early, climbing',
      expect.stringContaining('Lift the film'),
      'Sun 2026-04-05  18:00–21:00  lift Z0 to Z39 (40 zones, 1000 bags), batch early, climbing',
    ]);
  });

  it('of a large rack names every zone of tonight, also where none follows another', () => {
    const [item] = workFrom(plan, nothing, day('2026-04-02'), 1);
    const zones = Array.from({ length: 40 }, (_, i) => `Z${2 * i}`);
    const many = zones.map((zone) => ({ ...sure(item), zone, places: [`${zone}-1`], bags: [`b-${zone}`] }));
    const [, line = ''] = workText(many, day('2026-04-02'), 14).split('\n');
    expect(line.match(/Z\d+/g)).toEqual(zones);
  });

  it('says when there is none', () => {
    expect(workText([], day('2026-02-16'), 14)).toBe(
      'Today, Mon 2026-02-16:\n  nothing to do\nNothing else in the next 14 days.',
    );
  });
});

describe('a bag taken out', () => {
  it('leaves the visits, and its neighbours are looked at every 2 days for 10 days', () => {
    const known = { ...nothing, notes: [cull('A2', '2026-04-02')] };
    const items = workFrom(plan, known, day('2026-04-02'), 20);
    expect(items.some((item) => item.places.includes('A-2'))).toBe(false);
    const closer = items.filter((item) => item.closer);
    // Within 600 mm on the same shelf: A1 beside it and B2, 580 mm away across the screen; B1 stands at 603 mm.
    expect([...new Set(closer.flatMap((item) => item.places))].sort()).toEqual(['A-1', 'B-2']);
    const days = [...new Set(closer.filter((item) => item.zone === 'A').map((item) => item.day))];
    expect(days.map((one) => one - day('2026-04-02'))).toEqual([2, 4, 6, 8, 10]);
  });

  it('sends to the controller of its own zone, also where that has no visits of its own', () => {
    const two = planOf(
      sampleText('pantry')
        .replace(/controllers:\n.*/, 'controllers:\n  first: { unit: 1 }\n  second: { unit: 2 }')
        .replace(/pantry\/([1-4])/g, 'first/$1')
        .replace(/pantry\/([5-8])/g, 'second/$1'),
    );
    const known = { visits: [], notes: [cull('C2', '2026-04-02')], outcomes: new Map() };
    const items = workFrom(two, known, day('2026-04-02'), 20);
    expect(new Set(items.map((item) => `${item.zone} ${item.controller}`))).toEqual(new Set(['C 1', 'D 1']));
  });

  it('with no bag left, the zone has no work', () => {
    const known = { ...nothing, notes: [cull('A1', '2026-04-02'), cull('A2', '2026-04-02')] };
    expect(workFrom(plan, known, day('2026-04-02'), 30).some((item) => item.zone === 'A')).toBe(false);
    expect(workFrom(plan, known, day('2026-04-02'), 30).some((item) => item.zone === 'C')).toBe(true);
  });

  it('of another batch does not count', () => {
    const known = { ...nothing, notes: [cull('A1', '2025-04-02', 'winter')] };
    expect(workFrom(plan, known, day('2026-04-02'), 1)[0]?.places).toEqual(['A-1', 'A-2']);
  });
});

describe('what became of visits', () => {
  const dayOf = (utc: number) => civilDay(Math.floor((utc + 3600) / 86_400));
  const due = day('2026-04-02') * 86_400 + 17 * 3600;
  const answer = (sequence: number, outcome: number, lateMinutes: number, zones = 0b101): LogRecord => ({
    ...{ sequence, partial: false, estimated: false, type: 'visit', kind: VISIT_KINDS.indexOf('lift') },
    ...{ outcome, zones, lateMinutes, time: utcSeconds(due + 60 * lateMinutes) },
  });

  it('is the newest word of the log, zone by zone', () => {
    const outcomes = outcomesOf(plan, 0, [answer(1, 1, 130)], dayOf);
    expect(outcomes.get(visitKey(0, 'lift', day('2026-04-02')))).toMatchObject({
      answer: 'late',
      lateMinutes: 130,
    });
    expect(outcomes.has(visitKey(1, 'lift', day('2026-04-02')))).toBe(false);
    expect(outcomes.has(visitKey(2, 'lift', day('2026-04-02')))).toBe(true);
    const items = workFrom(plan, { ...nothing, outcomes }, day('2026-04-02'), 1);
    expect(items.map((item) => item.answer)).toEqual(['late', 'late']);
  });

  it('counts early answers for the visit they answered', () => {
    const outcomes = outcomesOf(plan, 0, [answer(1, 0, -1380)], dayOf);
    expect([...outcomes.values()][0]?.dueDay).toBe(day('2026-04-02'));
  });

  it('is undone by taking the answer back, and corrected from the computer', () => {
    const outcomes = outcomesOf(plan, 0, [answer(1, 0, 10), answer(2, 4, 12, 0b100)], dayOf);
    // The taken-back record names the same due instant through its own lateness.
    expect([...outcomes.keys()]).toEqual([visitKey(0, 'lift', day('2026-04-02'))]);
    const fixed = correct(outcomes, [
      { zone: 0, kind: 'lift', dueDay: day('2026-04-02'), outcome: 'undone' },
      { zone: 2, kind: 'lift', dueDay: day('2026-04-02'), outcome: 'done' },
    ]);
    expect([...fixed.values()]).toEqual([
      expect.objectContaining({ zone: 2, answer: 'done', corrected: true, lateMinutes: undefined }),
    ]);
  });

  it('that the controller saw missed stays missed when "done" from the computer is taken back', () => {
    const outcomes = outcomesOf(plan, 0, [answer(1, 2, 180)], dayOf);
    const lift = { zone: 0, kind: 'lift', dueDay: day('2026-04-02') } as const;
    const fixed = correct(outcomes, [
      { ...lift, outcome: 'done' },
      { ...lift, outcome: 'undone' },
    ]);
    expect(fixed.get(visitKey(0, 'lift', lift.dueDay))?.answer).toBe('missed');
  });

  it('is missed where an answer was taken back and none came in its window', () => {
    const records = [answer(1, 0, 10), answer(2, 4, 12, 0b100)];
    const undone = takenBack(plan, 0, records, dayOf);
    expect(undone).toEqual([visitKey(2, 'lift', day('2026-04-02'))]);
    const outcomes = outcomesOf(plan, 0, records, dayOf);
    const over = [0, 2].map((zone) => ({ zone, kind: 'lift' as const, day: day('2026-04-02') }));
    const answers = (now: typeof over) =>
      [...missedWhereTakenBack(outcomes, new Set(undone), now).values()].map((one) => [one.zone, one.answer]);
    expect(answers(over)).toEqual([
      [0, 'done'],
      [2, 'missed'],
    ]);
    // While the window is open, it waits for its answer again.
    expect(answers([])).toEqual([[0, 'done']]);
  });
});

it('offsets of the sample plan are found', () => {
  const from = utcSeconds(day('2026-02-01') * 86_400);
  expect(offsetsFor(plan.timezone, from, utcSeconds(from + 100 * 86_400)).changes).toHaveLength(1);
});
