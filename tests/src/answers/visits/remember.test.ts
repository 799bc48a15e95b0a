/**
 * Visits that remember. The days are counted by hand on the pantry sample: early is
 * sealed on 2026-02-16, climbs from 2026-03-30, is lifted every 3 days after that
 * (2 April, 5 April, 8 April …) and looked at every 7 days from its sealing on.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { planVisits, visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { entersOn, waitingLooks, waitingZone } from '../../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../../shared/units.ts';
import type { Note } from '../../../../src/answers/book/note.ts';
import { correct, visitPlace, visitPlaceNamed } from '../../../../src/answers/visits/outcomes.ts';
import { countedOn, overdueOn } from '../../../../src/answers/visits/remember.ts';
import { workText } from '../../../../src/answers/visits/text.ts';
import { type Known, notKept, workFrom } from '../../../../src/answers/visits/work.ts';
import { day, planOf, sampleText } from './plan.ts';

const plan = planOf(sampleText('pantry'));
const visits = visitOccurrences(plan);
const heard: Known = { visits, notes: [], outcomes: new Map(), since: day('2026-03-01') };
/** Zone A done on a day, as kept in the archive. */
const done = (kind: 'lift' | 'look', due: string, on: string) =>
  correct(new Map(), [{ zone: 0, kind, dueDay: day(due), outcome: 'done', doneDay: day(on) }]);

const ofA = (known: Known, from: string, days: number, kind = 'lift') =>
  workFrom(plan, known, day(from), days)
    .filter((item) => item.zone === 'A' && item.kind === kind && !item.closer)
    .map((item) => [isoDate(item.day).slice(5), item.overdue && isoDate(item.overdue).slice(5)]);

describe('a missed visit', () => {
  it('stays on the list of today until the next one replaces it', () => {
    expect(ofA(heard, '2026-04-02', 1)).toEqual([['04-02', undefined]]);
    expect(ofA(heard, '2026-04-03', 1)).toEqual([['04-03', '04-02']]);
    expect(ofA(heard, '2026-04-04', 1)).toEqual([['04-04', '04-02']]);
    expect(ofA(heard, '2026-04-05', 1)).toEqual([['04-05', undefined]]);
  });

  it('is gone once it is done, and the interval counts on from that day', () => {
    // Due on 2 April, done on the 4th: then 7, 10, 13 April in place of 5, 8, 11.
    const known = { ...heard, outcomes: done('lift', '2026-04-02', '2026-04-04') };
    expect(ofA(known, '2026-04-04', 10)).toEqual([
      ['04-07', undefined],
      ['04-10', undefined],
      ['04-13', undefined],
    ]);
    expect(ofA(known, '2026-04-08', 1)).toEqual([['04-08', '04-07']]);
  });

  it('counts from anew where a stage has its own days, but looks go through all stages', () => {
    // The climb's last lift is due on 17 May; ripening begins on the 18th, its first lift is due 4 days later.
    const lifted = { ...heard, outcomes: done('lift', '2026-05-14', '2026-05-16') };
    expect(ofA(lifted, '2026-05-17', 7)).toEqual([
      ['05-19', undefined],
      ['05-22', undefined],
    ]);
    // Looks come 42, 49 … days after sealing, whatever the stage: due on 30 March, done on 1 April.
    const looked = { ...heard, outcomes: done('look', '2026-03-30', '2026-04-01') };
    expect(ofA(looked, '2026-04-02', 60, 'look').at(-1)).toEqual(['05-27', undefined]);
  });

  it('that the log tells as missed on its day of the table is not overdue before its new day', () => {
    const outcomes = new Map(done('lift', '2026-04-02', '2026-04-04'));
    const missed = { zone: 0, kind: 'lift' as const, dueDay: day('2026-04-05'), answer: 'missed' as const };
    outcomes.set(`0 lift ${missed.dueDay}`, { ...missed, lateMinutes: 180, corrected: false });
    expect(ofA({ ...heard, outcomes }, '2026-04-06', 1)).toEqual([]);
    expect(ofA({ ...heard, outcomes }, '2026-04-08', 1)).toEqual([['04-08', '04-07']]);
  });

  it('is replaced by a later one that was done before its time', () => {
    const known = { ...heard, outcomes: done('lift', '2026-04-05', '2026-04-04') };
    expect(ofA(known, '2026-04-04', 1)).toEqual([]);
    // One day early, so all that follow are: 7, 10 April.
    expect(ofA(known, '2026-04-06', 5)).toEqual([
      ['04-07', undefined],
      ['04-10', undefined],
    ]);
  });

  it('of which nobody can know is left alone', () => {
    expect(ofA({ ...heard, since: undefined }, '2026-04-03', 1)).toEqual([]);
    expect(ofA({ ...heard, since: day('2026-04-03') }, '2026-04-03', 1)).toEqual([]);
  });

  it('is said with its day', () => {
    const text = workText(workFrom(plan, heard, day('2026-04-03'), 1), day('2026-04-03'), 1);
    expect(text).toContain('lift A (A-1 and A-2), batch early, climbing — overdue since Thu 2026-04-02');
  });

  it('on weekdays keeps its weekdays', () => {
    const weekly = planOf(
      sampleText('pantry').replace('look: { every: 7 d, at: 18:00 }', 'look: { on: [Sat] }'),
    );
    const own = visitOccurrences(weekly);
    const late = done('look', '2026-04-04', '2026-04-06');
    const days = countedOn(weekly, own, late).filter(
      ({ visit }) => visit.zone === 0 && visit.kind === 'look',
    );
    expect(days.every(({ visit, day: now }) => visit.day === now)).toBe(true);
  });

  it('whatever was done when: none is shown twice a day, outside its stay, or both overdue and replaced', () => {
    const lifts = visits.filter(({ zone, kind }) => zone === 0 && kind === 'lift');
    const answers = fc.array(
      fc.record({
        nth: fc.nat(lifts.length - 1),
        after: fc.integer({ min: -1, max: 4 }),
        isDone: fc.boolean(),
      }),
      { maxLength: 12 },
    );
    fc.assert(
      fc.property(answers, fc.nat(80), (told, into) => {
        const outcomes = correct(
          new Map(),
          told.map(({ nth, after, isDone }) => {
            const { day: dueDay } = itemAt(lifts, nth);
            const outcome = isDone ? ('done' as const) : ('undone' as const);
            return { zone: 0, kind: 'lift', dueDay, outcome, doneDay: civilDay(dueDay + after) };
          }),
        );
        const today = civilDay(day('2026-03-25') + into);
        const shown = countedOn(plan, visits, outcomes).filter(({ visit }) => lifts.includes(visit));
        const { free } = itemAt(itemAt(plan.batches, 0).zones, 0);
        for (const { day: on } of shown) expect(on).toBeLessThan(free);
        expect(new Set(shown.map(({ visit }) => visit)).size).toBe(shown.length);
        const late = overdueOn(plan, visits, outcomes, day('2026-03-01'), today);
        const mine = late.filter(({ visit }) => lifts.includes(visit));
        expect(mine.length).toBeLessThanOrEqual(1);
        if (mine.length > 0) expect(shown.some(({ day: on }) => on === today)).toBe(false);
      }),
    );
  });
});

describe('bags that wait elsewhere', () => {
  const waits = planOf(sampleText('pantry').replace('early: {', 'early: { enters: wake,'));

  it('are looked at from their sealing on', () => {
    // Colonise takes 28 days: looks on days 7, 14 and 21; on day 28 they are on the rack.
    const looks = waitingLooks(waits).visits;
    expect(looks.map((look) => look.day - day('2026-02-16'))).toEqual([7, 14, 21]);
    expect(entersOn(itemAt(waits.batches, 0)) - day('2026-02-16')).toBe(28);
    expect(waitingLooks(plan).visits).toEqual([]);
    const known = { ...heard, visits: [...visitOccurrences(waits), ...looks] };
    const [first] = workFrom(waits, known, day('2026-02-23'), 1).filter((item) => item.batch === 'early');
    expect(first).toMatchObject({ kind: 'look', zone: '', stage: 'waiting' });
    expect(first?.bags).toHaveLength(4);
    const text = workText(workFrom(waits, known, day('2026-02-23'), 1), day('2026-02-23'), 1);
    expect(text).toContain('look at batch early, not on the rack yet (4 bags)');
    expect(text).toContain('White growth should spread evenly');
  });

  it('have answers of their own, that no zone shares', () => {
    const place = visitPlace(waits, waitingZone(0));
    expect(place).toBe('batch early');
    expect(visitPlaceNamed(waits, place)).toBe(waitingZone(0));
    expect(visitPlaceNamed(waits, 'A')).toBe(0);
    expect(visitPlaceNamed(waits, 'batch nobody')).toBeUndefined();
  });
});

describe('days away', () => {
  const away = (from: string, until: string) =>
    planOf(sampleText('pantry').replace('visits:\n', `visits:\n  away: [[${from}, ${until}]]\n`));
  const within = (on: CivilDay, from: string, until: string): boolean => on >= day(from) && on <= day(until);

  it('hold for every kind: lists show nothing on them, the weekly word on a harvest included', () => {
    // The harvest of early is open from 17 May to 7 June; its second reminder, 24 May, falls on a day away.
    const [from, until] = ['2026-05-22', '2026-05-26'];
    const gone = away(from, until);
    const known = { ...heard, visits: visitOccurrences(gone), notes: [cull('A2', '2026-05-20')] };
    const items = workFrom(gone, known, day('2026-05-01'), 60);
    expect(items.filter((item) => within(item.day, from, until))).toEqual([]);
    const harvests = items.filter((item) => item.kind === 'harvest' && item.zone === 'A');
    expect(harvests.map((item) => isoDate(item.day))).toContain('2026-05-27');
    // Closer looks at A-1 were due 22, 24, 26, 28 and 30 May: the first three meet on the 27th.
    const closer = items.filter((item) => item.closer && item.zone === 'A');
    expect(closer.map((item) => isoDate(item.day))).toEqual(['2026-05-27', '2026-05-28', '2026-05-30']);
  });

  it('that leave no room for something say so', () => {
    // Seven weeks away: lifts every three days cannot move so far.
    const gone = away('2026-04-10', '2026-05-28');
    const { visits: own, moved } = planVisits(gone);
    const lost = notKept(gone, { ...heard, visits: own }, moved, day('2026-04-10'), 14);
    expect(lost.length).toBeGreaterThan(2);
    expect(lost.every(({ day: on }) => within(on, '2026-04-10', '2026-04-23'))).toBe(true);
    const text = workText([], day('2026-04-10'), 14, lost);
    expect(text).toMatch(/Days away leave no room for: lift in A on \w{3} 2026-04-/);
    expect(text).toMatch(/Ask somebody to come\.$/);
  });
});

describe('a closer look', () => {
  const known = { ...heard, notes: [cull('A2', '2026-04-02')] };
  const closer = (one: Known, from: string) =>
    workFrom(plan, one, day(from), 1).filter((item) => item.closer && item.zone === 'A');

  it('stays until it is done or the next one comes, also after the last', () => {
    // Due on 4, 6, 8, 10 and 12 April.
    expect(closer(known, '2026-04-05')).toMatchObject([{ overdue: day('2026-04-04') }]);
    expect(closer(known, '2026-04-06')).toMatchObject([{ overdue: undefined }]);
    expect(closer(known, '2026-04-14')).toMatchObject([{ overdue: day('2026-04-12') }]);
  });

  it('is done by a look at its zone', () => {
    const outcomes = done('look', '2026-04-06', '2026-04-05');
    expect(closer({ ...known, outcomes }, '2026-04-05')).toEqual([]);
    expect(
      closer({ ...known, outcomes: done('look', '2026-04-06', '2026-04-06') }, '2026-04-06'),
    ).toMatchObject([{ answer: 'done' }]);
  });
});

function cull(place: string, iso: string): Note {
  return {
    ...{ id: place, plan: 'pantry', batch: 'early', zone: place.slice(0, 1), bag: place, day: day(iso) },
    ...{ writtenMs: 0, kind: 'cull', why: 'mould' },
  };
}
