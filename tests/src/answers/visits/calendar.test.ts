/** The calendar file, parsed back by ical.js (Mozilla), and held to RFC 5545. */

import ICAL from 'ical.js';
import { describe, expect, it } from 'vitest';
import { offsetsFor } from '../../../../compiler/plan/utc-offsets.ts';
import { visitOccurrences } from '../../../../compiler/timeline/visits.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { type CivilDay, utcSeconds } from '../../../../shared/units.ts';
import { daysReached, eventsIn, visitCalendar } from '../../../../src/answers/visits/calendar.ts';
import { workFrom } from '../../../../src/answers/visits/work.ts';
import { day, planOf, sampleText } from './plan.ts';

const NOW = Date.UTC(2026, 2, 20, 12);
const plan = planOf(sampleText('pantry').replace('Quayside pantry rack', 'Käse-Regal, “hinten”; Größe 2'));
const from = utcSeconds(day('2026-02-01') * 86_400);
const offsets = offsetsFor(plan.timezone, from, utcSeconds(from + 200 * 86_400));

function calendarOf(
  start: string,
  days: number,
  now = NOW,
  earlier = eventsIn(''),
  ends: { controller: string; day: CivilDay }[] = [],
): string {
  const visits = visitOccurrences(plan);
  const items = workFrom(plan, { visits, notes: [], outcomes: new Map() }, day(start), days);
  return visitCalendar(plan, 'pantry', { items, ends, earlier }, offsets, now);
}

const eventsOf = (text: string): ICAL.Event[] =>
  new ICAL.Component(ICAL.parse(text)).getAllSubcomponents('vevent').map((one) => new ICAL.Event(one));

describe('the calendar file', () => {
  const text = calendarOf('2026-03-28', 14);

  it('gives each walk once, at its wall time on both sides of the clock change', () => {
    // Europe/Lisbon goes to UTC+1 on 29 March 2026 (IANA tz database): 18:00 is 18:00Z before, 17:00Z after.
    const starts = eventsOf(text).map((event) => event.startDate.toJSDate().toISOString());
    expect(starts).toEqual([...starts].sort());
    expect(new Set(starts).size).toBe(starts.length);
    const early = eventsOf(calendarOf('2026-03-20', 8)).map((event) =>
      event.startDate.toJSDate().toISOString(),
    );
    expect(early.every((start) => start.endsWith('T18:00:00.000Z'))).toBe(true);
    expect(
      starts.filter((start) => start > '2026-03-29').every((start) => start.endsWith('T17:00:00.000Z')),
    ).toBe(true);
    expect(starts).toContain('2026-04-02T17:00:00.000Z');
  });

  it('holds no control or direction characters, whatever the plan is called', () => {
    const evil = { ...plan, title: 'rack\u001b[2J\u009b\u202eevil\u2066\u2028' };
    const file = visitCalendar(evil, 'pantry', { items: [], ends: [], earlier: [] }, offsets, NOW);
    expect(file.replaceAll('\r\n', '')).not.toMatch(/[\p{Cc}\p{Cf}\p{Zl}\p{Zp}]/u);
    expect(file).toContain('evil');
  });

  it('says what, where, and what to look for', () => {
    const lift = eventsOf(text).find((event) =>
      event.startDate.toJSDate().toISOString().startsWith('2026-04-02'),
    );
    expect(lift?.summary).toBe('Lift A and C');
    expect(lift?.description).toContain('Lift the film off growth');
    expect(lift?.component.getFirstSubcomponent('valarm')).toBeTruthy();
  });

  it('folds at 75 octets, ends every line with CRLF, and never inside a character (RFC 5545, 3.1)', () => {
    expect(text.endsWith('END:VCALENDAR\r\n')).toBe(true);
    expect(text.replace(/\r\n/g, '')).not.toMatch(/[\r\n]/);
    for (const line of text.split('\r\n')) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
    expect(text).toMatch(/\r\n /);
    expect(text).not.toContain('\uFFFD');
    const calendar = new ICAL.Component(ICAL.parse(text));
    expect(calendar.getFirstPropertyValue('x-wr-calname')).toBe('Käse-Regal, “hinten”; Größe 2: visits');
  });

  it('has what RFC 5545 requires of it and of each event', () => {
    const calendar = new ICAL.Component(ICAL.parse(text));
    expect(calendar.getFirstPropertyValue('version')).toBe('2.0');
    expect(calendar.getFirstPropertyValue('prodid')).toBeTruthy();
    for (const event of calendar.getAllSubcomponents('vevent')) {
      for (const name of ['uid', 'dtstamp', 'dtstart']) expect(event.getAllProperties(name)).toHaveLength(1);
    }
  });
});

describe('a second import', () => {
  const uids = (text: string): string[] => eventsOf(text).map((event) => event.uid);

  it('meets the same UIDs with a higher sequence', () => {
    const first = calendarOf('2026-03-28', 14);
    const second = calendarOf('2026-03-28', 14, NOW + 60_000 * 60);
    expect(uids(second)).toEqual(uids(first));
    expect(new Set(uids(first)).size).toBe(uids(first).length);
    expect(itemAt(eventsOf(second), 0).sequence).toBe(itemAt(eventsOf(first), 0).sequence + 60);
  });

  it('reaches as far as the first, so that nothing is cancelled for being far', () => {
    const first = calendarOf('2026-03-16', 100);
    const today = day('2026-03-20');
    const reach = daysReached(eventsIn(first), today);
    expect(reach).toBeGreaterThanOrEqual(90);
    const second = calendarOf('2026-03-20', reach, NOW + 3_600_000, eventsIn(first));
    const gone = eventsOf(second).filter(
      (event) => event.component.getFirstPropertyValue('status') === 'CANCELLED',
    );
    const late = gone.filter((event) => event.startDate.toJSDate().toISOString() > '2026-03-20');
    expect(late).toEqual([]);
    expect(daysReached([], today)).toBe(0);
  });

  it('cancels walks that are no more, but not past ones or those of other plans', () => {
    const first = calendarOf('2026-03-16', 28);
    const other =
      'BEGIN:VEVENT\r\nUID:other.rack.2026-04-02.1080@leanward\r\nDTSTART:20260402T170000Z\r\nEND:VEVENT\r\n';
    const second = calendarOf('2026-04-05', 8, NOW + 3_600_000, eventsIn(first + other));
    const cancelled = eventsOf(second).filter(
      (event) => event.component.getFirstPropertyValue('status') === 'CANCELLED',
    );
    const dates = cancelled.map((event) => event.startDate.toJSDate().toISOString().slice(0, 10)).sort();
    expect(itemAt(dates, 0) > '2026-03-20').toBe(true);
    expect(dates).toContain('2026-04-02');
    expect(uids(second).some((uid) => uid.startsWith('other'))).toBe(false);
    expect(eventsIn('not a calendar')).toEqual([]);
  });
});

it('tells the day by which a board must be flashed again, and cancels it once it was', () => {
  const ends = [{ controller: 'pantry', day: day('2026-05-09') }];
  const first = calendarOf('2026-03-20', 14, NOW, [], ends);
  const told = eventsOf(first).find(({ summary }) => summary === 'Flash pantry again');
  // The visiting hours begin at 08:00, 07:00 UTC in Lisbon's summer.
  expect(told?.startDate.toString()).toBe('2026-05-09T07:00:00Z');
  expect(told?.description).toContain('reminders on the board until 2026-05-09; flash again by then');
  const second = calendarOf('2026-03-20', 14, NOW, eventsIn(first), []);
  const gone = eventsOf(second).find(({ uid }) => uid === told?.uid);
  expect(gone?.component.getFirstPropertyValue('status')).toBe('CANCELLED');
});
