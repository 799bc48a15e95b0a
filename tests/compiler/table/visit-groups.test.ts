/** Visits said as groups of entries and bindings: played by table-format.md's words, they give back every visit. */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type StayVisits, visitGroups } from '../../../compiler/table/visit-groups.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import type { VisitGroup, VisitKind } from '../../../shared/table.ts';
import { civilDay, minutes } from '../../../shared/units.ts';

/** 2026-03-02: a Monday (any calendar), so day `MONDAY + n` is weekday n % 7. */
const MONDAY = 9557;
const BASE = MONDAY - 1;

function visit(kind: VisitKind, day: number, more: Partial<VisitOccurrence> = {}): VisitOccurrence {
  return {
    ...{ controller: 0, zone: 0, batch: 0, kind, day: civilDay(day), at: minutes(480), fixed: true },
    ...{ days: 1, interval: 7, weekdays: undefined, side: undefined, ...more },
  };
}

/** Every due visit: zone bit, kind, minute, day, and how many days a harvest is open. */
function played(groups: readonly VisitGroup[]): string[] {
  return groups.flatMap(({ entries, bindings }) =>
    bindings.flatMap(({ startDay, zones }) =>
      entries.flatMap((entry) => {
        const first = BASE + startDay + entry.from;
        const after: number[] =
          entry.form === 'every'
            ? Array.from({ length: entry.count }, (_, i) => i * entry.every)
            : entry.form === 'weekdays'
              ? Array.from({ length: entry.days }, (_, i) => i).filter(
                  (i) => (entry.mask >> ((first + i - MONDAY + 7000) % 7)) & 1,
                )
              : [0];
        const open = entry.form === 'open' ? entry.days : 1;
        return Array.from({ length: 16 }, (_, zone) => zone)
          .filter((zone) => (zones >> zone) & 1)
          .flatMap((zone) => after.map((day) => name(zone, entry.kind, entry.at, first + day, open)));
      }),
    ),
  );
}

const name = (zone: number, kind: VisitKind, at: number, day: number, open: number): string =>
  `${zone} ${kind} ${at} ${day} ${open}`;

const wanted = (stays: readonly StayVisits[]): string[] =>
  stays.flatMap(({ zoneBit, visits }) =>
    visits.map(({ kind, at, day, days }) => name(zoneBit, kind, at, day, kind === 'harvest' ? days : 1)),
  );

const stay = (start: number, visits: readonly VisitOccurrence[], zoneBit = 0): StayVisits => ({
  ...{ zoneBit, start, visits },
});

/** Looks by chance: even runs, weekday rules, moved ones, gaps of more than 255 days. */
const looks = fc
  .array(
    fc.record({
      gap: fc.oneof(fc.integer({ min: 1, max: 9 }), fc.constantFrom(254, 255, 256, 300)),
      times: fc.integer({ min: 1, max: 6 }),
      at: fc.constantFrom(480, 600),
      weekdays: fc.constantFrom(undefined, [0], [0, 3], [5, 6], [0, 1, 2, 3, 4, 5, 6]),
    }),
    { minLength: 1, maxLength: 5 },
  )
  .map((parts) => {
    const found: VisitOccurrence[] = [];
    let day = MONDAY;
    for (const { gap, times, at, weekdays } of parts) {
      for (let n = 0; n < times; n++) {
        day += gap;
        found.push(visit('look', day, { at: minutes(at), weekdays }));
      }
    }
    return found;
  });

describe('groups of visits', () => {
  it('give every visit back exactly, whatever the days', () => {
    const stays = fc.array(
      fc.record({
        zoneBit: fc.integer({ min: 0, max: 15 }),
        start: fc.integer({ min: MONDAY - 300, max: MONDAY }),
        visits: looks,
        open: fc.option(fc.integer({ min: 1, max: 255 }), { nil: undefined }),
      }),
      { minLength: 1, maxLength: 4 },
    );
    fc.assert(
      fc.property(stays, (parts) => {
        const own = parts.map(({ zoneBit, start, visits, open }) =>
          stay(start, open ? [...visits, visit('harvest', MONDAY + 200, { days: open })] : visits, zoneBit),
        );
        const groups = visitGroups(own, BASE);
        expect([...new Set(played(groups))].sort()).toEqual([...new Set(wanted(own))].sort());
        for (const { entries, bindings } of groups) {
          expect(entries.length).toBeLessThanOrEqual(16);
          expect(bindings.length).toBeLessThanOrEqual(16);
          for (const entry of entries) expect(entry.from).toBeLessThanOrEqual(255);
        }
      }),
      { numRuns: 300 },
    );
  });

  it('say visits equally far apart once, up to 255 of them', () => {
    const every = (count: number, gap: number): VisitOccurrence[] =>
      Array.from({ length: count }, (_, n) => visit('lift', MONDAY + gap * n));
    expect(visitGroups([stay(MONDAY - 2, every(9, 3))], BASE)).toEqual([
      {
        entries: [{ kind: 'lift', at: 480, from: 2, form: 'every', every: 3, count: 9 }],
        bindings: [{ startDay: -1, zones: 1 }],
      },
    ]);
    const counts = (visits: readonly VisitOccurrence[]): number[] =>
      visitGroups([stay(MONDAY, visits)], BASE).flatMap(({ entries, bindings }) =>
        bindings.flatMap(() => entries.map((entry) => (entry.form === 'every' ? entry.count : 1))),
      );
    expect(counts(every(255, 1))).toEqual([255]);
    expect(counts(every(256, 1))).toEqual([255, 1]);
    expect(counts(every(2, 255))).toEqual([2]);
    expect(counts(every(2, 256))).toEqual([1, 1]);
  });

  it('begin a run anew where the minute changes', () => {
    const at = (day: number, minute: number): VisitOccurrence =>
      visit('look', MONDAY + day, { at: minutes(minute) });
    const [group] = visitGroups([stay(MONDAY, [at(0, 480), at(7, 480), at(14, 500), at(21, 500)])], BASE);
    expect(group?.entries).toEqual([
      { kind: 'look', at: 480, from: 0, form: 'every', every: 7, count: 2 },
      { kind: 'look', at: 500, from: 14, form: 'every', every: 7, count: 2 },
    ]);
  });

  it('say weekdays by their rule, where no even distance says as many', () => {
    const on = [0, 3, 7, 10, 14, 17].map((day) => visit('look', MONDAY + day, { weekdays: [0, 3] }));
    expect(visitGroups([stay(MONDAY, on)], BASE)[0]?.entries).toEqual([
      { kind: 'look', at: 480, from: 0, form: 'weekdays', mask: 0b1001, days: 18 },
    ]);
    const late = [3, 5, 10, 12, 17, 19].map((day) => visit('look', MONDAY + day, { weekdays: [3, 5] }));
    expect(visitGroups([stay(MONDAY, late)], BASE)[0]?.entries).toEqual([
      { kind: 'look', at: 480, from: 3, form: 'weekdays', mask: 0b101000, days: 17 },
    ]);
    // One a week is as well said evenly.
    const weekly = [0, 7, 14].map((day) => visit('look', MONDAY + day, { weekdays: [0] }));
    expect(visitGroups([stay(MONDAY, weekly)], BASE)[0]?.entries).toEqual([
      { kind: 'look', at: 480, from: 0, form: 'every', every: 7, count: 3 },
    ]);
    // The rule ends at a day that is left out, and one that was moved is said by itself.
    const moved = [0, 3, 7, 11].map((day) => visit('look', MONDAY + day, { weekdays: [0, 3] }));
    expect(visitGroups([stay(MONDAY, moved)], BASE)[0]?.entries).toEqual([
      { kind: 'look', at: 480, from: 0, form: 'weekdays', mask: 0b1001, days: 8 },
      { kind: 'look', at: 480, from: 11, form: 'once' },
    ]);
  });

  it('say weekdays over 255 days at the most (one byte, table-format.md)', () => {
    // Day 255 from a Monday is a Thursday.
    const on = Array.from({ length: 300 }, (_, day) => day)
      .filter((day) => day % 7 === 0 || day % 7 === 3)
      .map((day) => visit('look', MONDAY + day, { weekdays: [0, 3] }));
    const own = [stay(MONDAY, on)];
    const entries = visitGroups(own, BASE).flatMap((group) => group.entries);
    expect(entries[0]).toMatchObject({ form: 'weekdays', from: 0, days: 253 });
    expect(played(visitGroups(own, BASE)).sort()).toEqual(wanted(own).sort());
  });

  it('count from the stay, or from the visit itself when it is more than 255 days on', () => {
    const [near, far] = [255, 256].map((day) =>
      visitGroups([stay(MONDAY, [visit('turn', MONDAY + day)])], BASE),
    );
    expect(near?.[0]).toEqual({
      entries: [{ kind: 'turn', at: 480, from: 255, form: 'once' }],
      bindings: [{ startDay: 1, zones: 1 }],
    });
    expect(far?.[0]).toEqual({
      entries: [{ kind: 'turn', at: 480, from: 0, form: 'once' }],
      bindings: [{ startDay: 257, zones: 1 }],
    });
  });

  it('keep a harvest open for its days, and apart from the next one', () => {
    const visits = [
      visit('harvest', MONDAY + 98, { days: 15 }),
      visit('harvest', MONDAY + 105, { days: 400 }),
    ];
    expect(visitGroups([stay(MONDAY, visits)], BASE)[0]?.entries).toEqual([
      { kind: 'harvest', at: 480, from: 98, form: 'open', days: 15 },
      { kind: 'harvest', at: 480, from: 105, form: 'open', days: 255 },
    ]);
  });

  it('say once what zones have in common, by their bits and in order of their days', () => {
    const own = (start: number, zoneBit: number): StayVisits =>
      stay(start, [visit('look', start + 7)], zoneBit);
    expect(visitGroups([own(MONDAY + 9, 2), own(MONDAY, 0), own(MONDAY, 15)], BASE)).toEqual([
      {
        entries: [{ kind: 'look', at: 480, from: 7, form: 'once' }],
        bindings: [
          { startDay: 1, zones: 0x8001 },
          { startDay: 10, zones: 4 },
        ],
      },
    ]);
  });

  it('hold 16 entries and 16 bindings at most', () => {
    const visits = Array.from({ length: 17 }, (_, n) => visit('look', MONDAY + n * n, { at: minutes(n) }));
    const stays = Array.from({ length: 17 }, (_, n) =>
      stay(
        MONDAY + n,
        visits.map((one) => ({ ...one, day: civilDay(one.day + n) })),
      ),
    );
    const groups = visitGroups(stays, BASE);
    expect(groups.map(({ entries, bindings }) => [entries.length, bindings.length])).toEqual([
      [16, 16],
      [16, 1],
      [1, 16],
      [1, 1],
    ]);
    expect(played(groups).sort()).toEqual(wanted(stays).sort());
  });
});
