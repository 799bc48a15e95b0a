import { readFileSync } from 'node:fs';
import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { offsetsAround } from '../../../../compiler/plan/place-time.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { dayFromIso, utcFromUnixMs } from '../../../../shared/civil.ts';
import { decodeTable } from '../../../../shared/table-decode.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { compareTables, lostDays } from '../../../../src/answers/changes/changes.ts';
import { lightCourse } from '../../../../src/answers/changes/course.ts';
import { litPlaces } from '../../../../src/answers/changes/lamp-zones.ts';
import { notSeen } from '../../../../src/answers/changes/seen.ts';
import { changeLines, lostWords } from '../../../../src/answers/changes/text.ts';
import { boardsById } from '../../../../src/jobs/plan-file.ts';
import { namesOf } from '../../../../src/words/names.ts';
import { planOf } from '../visits/plan.ts';

const TEXT = readFileSync(new URL('../../../../shared/plans/pantry.plan.yaml', import.meta.url), 'utf8');
const NOW = utcFromUnixMs(Date.parse('2026-02-15T12:00:00Z'));
const OFFSETS = offsetsAround('Europe/Lisbon', NOW);

function compiled(text: string) {
  const result = compilePlan(text, { boards: boardsById() });
  const [first] = result.tables;
  if (first === undefined || result.plan === undefined) throw new Error(JSON.stringify(result.findings));
  const { plan } = result;
  return { bytes: first.encoded.bytes, names: namesOf(plan, 0), places: litPlaces(plan, 0) };
}

const { bytes: PANTRY, names, places } = compiled(TEXT);
const day = (iso: string): number => sure(dayFromIso(iso));

describe('what a flash changes', () => {
  it('is nothing when the plan is the same', () => {
    const changes = compareTables(PANTRY, PANTRY, OFFSETS, NOW);
    expect(changes.outputs.every(({ differing }) => differing.length === 0)).toBe(true);
    expect(changes.visits.every(({ same }) => same)).toBe(true);
    expect(lostDays(changes, places)).toEqual([]);
  });

  it('counts light by the plan: 28 dark days, then 14 of 8 h, 49 and 21 of 12 h', () => {
    const changes = compareTables(undefined, PANTRY, OFFSETS, NOW);
    expect(changes.first).toBe(true);
    const [left, right] = [itemAt(changes.outputs, 0).after, itemAt(changes.outputs, 1).after];
    // A-left and A-right: both in wake and ripen (upright), one week each in climb (sway): 7 weeks, left first.
    expect(left.firstDay).toBe(day('2026-03-16'));
    expect(left.lastDay).toBe(day('2026-06-07'));
    expect(left.days + right.days).toBeGreaterThanOrEqual(14 + 49 + 21);
    expect(left.hours).toBeGreaterThan(0);
    expect(changeLines(changes, names)[0]).toMatch(
      /^A-left +light on \d+ days from 2026-03-16 to 2026-06-07/,
    );
  });

  it('reads the light of every output as planned, without its stagger', () => {
    // Batch `late` wakes on 2026-04-06: 8 h from 09:00, both sides of B and D (outputs 3, 4, 7, 8), summer time.
    const course = lightCourse(PANTRY, OFFSETS, NOW, utcSeconds(NOW + 120 * 86_400));
    for (const output of [3, 4, 7, 8]) {
      expect(itemAt(course, output - 1).get(day('2026-04-10'))).toEqual({
        hours: 8,
        pattern: '540+480@255;',
      });
    }
  });

  it('tells a shorter photoperiod by days and hours, over the clock change', () => {
    const shorter = compiled(
      TEXT.replace('days: 49\n      photoperiod: 12 h', 'days: 49\n      photoperiod: 10 h'),
    );
    const changes = compareTables(PANTRY, shorter.bytes, OFFSETS, NOW);
    for (const { differing, hoursBefore, hoursAfter, lost } of changes.outputs) {
      expect(differing.length).toBeGreaterThan(0);
      expect(hoursBefore / hoursAfter).toBeCloseTo(1.2, 5);
      expect(hoursBefore).toBeCloseTo(12 * differing.length, 5);
      expect(lost).toEqual([]);
    }
  });

  it('finds the days of light that would be lost', () => {
    const ended = compiled(
      TEXT.replace(
        'bag: tall, regime: antler }\n  late',
        'bag: tall, regime: antler, ended: 2026-05-01 }\n  late',
      ),
    );
    const lost = lostDays(compareTables(PANTRY, ended.bytes, OFFSETS, NOW), ended.places);
    // Batch `early` stands in A and C, and has light each day until 2026-06-07: 38 days from 1 May.
    expect(lost.map(({ place }) => place)).toEqual(['zone A', 'zone C']);
    for (const { days } of lost) {
      expect(days).toHaveLength(38);
      expect(days[0]).toBe(day('2026-05-01'));
      expect(days.at(-1)).toBe(day('2026-06-07'));
    }
    expect(lostWords(lost)).toMatch(/zone A +the light of 38 days from 2026-05-01 to 2026-06-07/);
  });

  it('loses nothing when the sides change on other days: the zone has light all the same', () => {
    const quicker = compiled(TEXT.replace('[left, right], every: 7 d', '[left, right], every: 5 d'));
    const changes = compareTables(PANTRY, quicker.bytes, OFFSETS, NOW);
    expect(changes.outputs.some(({ lost }) => lost.length > 0)).toBe(true);
    expect(lostDays(changes, quicker.places)).toEqual([]);
    expect(changeLines(changes, names)[0]).toMatch(
      /^A-left +changes on \d+ days between 2026-04-\d\d and 2026-05-\d\d: .* h of light instead of \d+ h; dark on \d+ days that had light$/,
    );
  });

  it('counts a lamp that the new plan does not name any more as a place of its own', () => {
    const fewer = compiled(TEXT.replace(/^ {2}D-right:.*$/m, ''));
    const lost = lostDays(compareTables(PANTRY, fewer.bytes, OFFSETS, NOW), fewer.places);
    expect(lost.map(({ place }) => place)).toEqual(['output 8']);
  });

  it('counts light round the clock by days, over the clock change', () => {
    const always = compiled(
      TEXT.replace('days: 49\n      photoperiod: 12 h', 'days: 49\n      photoperiod: 24 h'),
    );
    const course = lightCourse(always.bytes, OFFSETS, NOW, utcSeconds(NOW + 200 * 86_400));
    // B and D climb from 2026-04-20, C and A from 2026-03-30 (left first); each week has whole days.
    const left = itemAt(course, 0);
    expect(left.get(day('2026-04-02'))).toEqual({ hours: 24, pattern: '0+1440@255;' });
    const lost = lostDays(compareTables(always.bytes, PANTRY, OFFSETS, NOW), places);
    expect(lost).toEqual([]);
  });

  it('sees the same visits in tables that group their zones otherwise', () => {
    const decoded = decodeTable(PANTRY);
    if (!decoded.ok || decoded.table.visits === undefined) throw new Error('no visits');
    const { table } = decoded;
    const visits = decoded.table.visits;
    const apart = {
      ...table,
      visits: {
        ...visits,
        groups: visits.groups.flatMap(({ entries, bindings }) =>
          bindings.flatMap(({ startDay, zones }) =>
            [0, 1, 2, 3]
              .filter((bit) => zones & (1 << bit))
              .map((bit) => ({ entries, bindings: [{ startDay, zones: 1 << bit }] })),
          ),
        ),
      },
    };
    const { bytes } = encodeTable(apart);
    expect(bytes.length).toBeGreaterThan(PANTRY.length);
    const changes = compareTables(PANTRY, bytes, OFFSETS, NOW);
    expect(changes.visits.map(({ kind, same }) => [kind, same])).toEqual([
      ['look', true],
      ['lift', true],
      ['harvest', true],
    ]);
  });

  it('tells a harvest that closes on another day', () => {
    const longer = compiled(TEXT.replace('until: 112 d', 'until: 110 d'));
    const changes = compareTables(PANTRY, longer.bytes, OFFSETS, NOW);
    expect(changes.visits.find(({ kind }) => kind === 'harvest')).toMatchObject({ same: false });
  });

  it('counts from now on only', () => {
    const late = utcFromUnixMs(Date.parse('2026-06-20T12:00:00Z'));
    const changes = compareTables(undefined, PANTRY, OFFSETS, late);
    // Batch `late` (B, D) has light until 2026-06-28, batch `early` none any more.
    expect(changes.outputs.map(({ output }) => output)).toEqual([3, 4, 7, 8]);
    const harvest = changes.visits.find(({ kind }) => kind === 'harvest');
    // Both harvests (from day 90) are open; `early` closed on day 112, 2026-06-08.
    expect(harvest).toMatchObject({ after: 1, next: { open: true, day: day('2026-06-07') } });
  });
});

it('is no loss to ask about where a stage was seen to begin early, by the tables themselves', () => {
  const text = TEXT.replace('zones: [A, C], bag', 'zones: [A, C], began: { climb: 2026-03-25 }, bag');
  const earlier = compiled(text);
  const lost = lostDays(compareTables(PANTRY, earlier.bytes, OFFSETS, NOW), earlier.places);
  // Five days early: the last light of A and C is on 2 June and not on the 7th.
  expect(lost.map(({ place, days }) => [place, days.length, days[0]])).toEqual([
    ['zone A', 5, day('2026-06-03')],
    ['zone C', 5, day('2026-06-03')],
  ]);
  expect(lost.flatMap((loss) => notSeen(planOf(text), loss))).toEqual([]);
});

describe('a loss that the plan itself asks for', () => {
  const loss = (from: string, to: string) => ({
    place: 'zone A',
    days: Array.from({ length: day(to) - day(from) }, (_, i) => day(from) + i),
  });

  it('is none once the batch there has `ended`', () => {
    const ended = planOf(TEXT.replace('zones: [A, C], bag', 'zones: [A, C], ended: 2026-04-20, bag'));
    expect(notSeen(ended, loss('2026-04-20', '2026-06-01'))).toEqual([]);
    // Days before it are lost all the same.
    expect(notSeen(ended, loss('2026-04-18', '2026-05-01'))).toMatchObject([
      { days: [day('2026-04-18'), day('2026-04-19')] },
    ]);
  });

  it('is one where stages only became shorter', () => {
    const short = planOf(TEXT.replace('climb\n      days: 49', 'climb\n      days: 9'));
    expect(notSeen(short, loss('2026-06-01', '2026-06-05'))[0]?.days).toHaveLength(4);
  });
});
