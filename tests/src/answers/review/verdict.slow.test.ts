/** Figures and sentences of the review, for happenings whose cost can be worked out by hand. */

import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../../shared/assert.ts';
import { unixMsFromUtc } from '../../../../shared/civil.ts';
import { encodeRecord } from '../../../../shared/log.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { recordPage } from '../../../../src/answers/lot/page.ts';
import { lotRecord } from '../../../../src/answers/lot/record.ts';
import { clockDrift } from '../../../../src/answers/review/drift.ts';
import { batchesOfLot, lotBatch, lotRows } from '../../../../src/answers/review/lot.ts';
import { reviewPage } from '../../../../src/answers/review/page.ts';
import type { Review } from '../../../../src/answers/review/review.ts';
import { reviewText } from '../../../../src/answers/review/text.ts';
import { type Verdict, verdicts } from '../../../../src/answers/review/verdict.ts';
import { incidentLines } from '../../../../src/answers/review/words.ts';
import { forecastLines, harvestForecast } from '../../../../src/answers/visits/forecast.ts';
import { visitKey } from '../../../../src/answers/visits/outcomes.ts';
import { appendRecords, rememberController } from '../../../../src/archive/append.ts';
import { writeCorrection } from '../../../../src/archive/corrections.ts';
import { rememberTable } from '../../../../src/archive/flashed.ts';
import { writeNote } from '../../../../src/archive/notes.ts';
import { NO_NAMES } from '../../../../src/words/names.ts';
import { day, sampleText } from '../visits/plan.ts';
import { type Farm, IDENTITY, makeFarm, readInto, reviewFarm } from './farm.ts';
import { type Happening, SimWorld } from './world.ts';

const DAY = 86_400;
const FIRST = day('2026-03-30');
const NAMING = {
  offsets: { initialQuarters: 0, changes: [] },
  names: { pantry: { ...NO_NAMES, units: 'metric' as const } },
};
let farm: Farm;
beforeAll(async () => {
  farm = await makeFarm(sampleText('pantry'));
});
afterAll(() => farm.archive.close());

/** Lisbon is an hour ahead of UTC from 29 March 2026 on. */
const at = (iso: string, hour: number): number => day(iso) * DAY + (hour - 1) * 3600;

async function live(
  happenings: readonly Happening[],
  until = '2026-04-13',
): Promise<{ review: Review; all: Verdict[] }> {
  for (const table of ['records', 'gaps', 'connections', 'notes'] as const) {
    await farm.archive.db.deleteFrom(table).execute();
  }
  const world = new SimWorld(farm.table, at('2026-03-29', 22));
  world.live(happenings, at(until, 0) - 1);
  await readInto(farm, world);
  const review = await reviewFarm(farm, FIRST);
  return { review, all: verdicts(farm.plan, review) };
}

const off = (when: number): Happening => ({ at: when, act: (world) => world.device.setPower(false) });
const on = (when: number): Happening => ({ at: when, act: (world) => world.device.setPower(true) });

describe('a zone', () => {
  it('that had a power cut of 30 hours is told what it lost, from which side, and what to do', async () => {
    const { all } = await live([off(at('2026-03-31', 12)), on(at('2026-04-01', 18))]);
    // A is lit 08:00–20:00, from the left for the first week: 8 h and 10 h of 14 × 12 h are gone, 18/12 days.
    const a = itemAt(all, 0);
    expect(a.totals.planned).toBeCloseTo(168, 1);
    expect(a.totals.delivered).toBeCloseTo(150, 1);
    // Nobody pressed: lifts on 2, 5, 8, 11 April, looks on 30 March (7 days in a row) and 6 April.
    expect(a.line).toBe(
      'A: 89.2 % of its light, 1.5 days of light from the left missing after the outage of 2026-03-31, 2 looks and 4 lifts missed',
    );
    expect(a.todo).toContain('give the left side 2 days more');
    expect(a.todo).toContain('lengthen climb by 2 days (days: 51)');
  });

  it('that was switched on by hand at night had light in its dark hours', async () => {
    const { all } = await live(
      Array.from({ length: 6 }, (_, i) => ({
        at: at('2026-04-02', 2) + 5 + 600 * i,
        act: (world) => world.hand(1, true),
      })),
    );
    expect(itemAt(all, 0).totals.extra).toBeCloseTo(1, 1);
    expect(itemAt(all, 0).line).toContain('1 h of light in its dark hours');
    expect(itemAt(all, 1).line).not.toContain('dark hours');
  });

  it('whose log was lost is told unknown, not well', async () => {
    const { review, all } = await live([]);
    expect(itemAt(all, 0).line).toMatch(/^A: all of its light, .* missed$/);
    const rows = await farm.archive.db.selectFrom('records').select(['sequence', 'day']).execute();
    const lost = rows.filter((row) => row.day >= day('2026-04-04') && row.day <= day('2026-04-06'));
    for (const { sequence } of lost) {
      await farm.archive.db.deleteFrom('records').where('sequence', '=', sequence).execute();
    }
    const after = await reviewFarm(farm, FIRST);
    const verdict = itemAt(verdicts(farm.plan, after), 0);
    expect(verdict.line).toContain('3 days unknown');
    // How often to read is said where records were lost, and nowhere else.
    const read = /read the log by the day that `visits` names/;
    expect(verdict.todo).toMatch(read);
    expect(all.filter((one) => read.test(one.todo))).toEqual([]);
    expect(verdict.totals.unknown).toBeCloseTo(36, 1);
    expect(verdict.share).toBe(1);
    expect(after.incidents.some((incident) => incident.kind === 'lost')).toBe(true);
    expect(review.incidents.some((incident) => incident.kind === 'lost')).toBe(false);
  });

  it('whose log was not read for 26 weeks is unknown where the ring has wrapped', async () => {
    await live([], '2026-08-20');
    const gaps = await farm.archive.db.selectFrom('gaps').selectAll().execute();
    expect(gaps).toMatchObject([{ first: 1 }]);
    const [kept] = await farm.archive.db
      .selectFrom('records')
      .select((e) => e.fn.countAll<number>().as('count'))
      .execute();
    expect(kept?.count).toBe(240);
    const review = await reviewFarm(farm, FIRST);
    const days = review.days.filter((one) => one.zone === 0);
    expect(itemAt(days, 0).standing).toBe('unknown');
    expect(sure(days.at(-1)).standing).toBe('proved');
    // Two records a day and few visits: a little over half of the ring is days.
    expect(days.filter((one) => one.standing === 'unknown').length).toBeGreaterThan(20);
    expect(itemAt(verdicts(farm.plan, review), 0).line).toContain('unknown');
  });

  it('on a day whose proof differs is told unexplained', async () => {
    await live([]);
    const proof = await farm.archive.db
      .selectFrom('records')
      .select(['sequence', 'body'])
      .where('type', '=', 2)
      .where('day', '=', day('2026-04-05'))
      .executeTakeFirstOrThrow();
    const record = { ...JSON.parse(proof.body), sequence: proof.sequence, partial: false, estimated: false };
    await farm.archive.db.deleteFrom('records').where('sequence', '=', proof.sequence).execute();
    await appendRecords(farm.archive, IDENTITY, [encodeRecord({ ...record, crc: record.crc ^ 1 })], 0);
    const review = await reviewFarm(farm, FIRST);
    expect(itemAt(verdicts(farm.plan, review), 0).line).toContain('1 day unexplained');
    const text = reviewText(farm.plan, review, verdicts(farm.plan, review), NAMING);
    expect(text).toContain('2026-04-05 is unexplained');
  });

  it('before anything was read claims nothing, of no day', async () => {
    await live([]);
    const review = await reviewFarm(farm, FIRST);
    const unread = review.controllers.map((one) => ({ ...one, readUntil: undefined }));
    const empty = { ...review, controllers: unread, incidents: [], until: review.from };
    const [heading, ...lines] = reviewText(farm.plan, empty, [], NAMING).split('\n');
    expect(heading).toBe(farm.plan.title);
    expect(lines[0]).toMatch(/^No log of .* has been read yet/);
    expect(lines).toContain('What happened is not known yet.');
  });
});

describe('a clock that lost its battery', () => {
  const dead = (set: boolean): Happening[] => [
    { at: at('2026-04-05', 12), act: (world) => world.device.setTrouble('clock stopped', true) },
    off(at('2026-04-05', 12) + 5),
    on(at('2026-04-05', 13)),
    { at: at('2026-04-05', 13) + 5, act: (world) => world.device.setTrouble('clock stopped', false) },
    ...(set ? [{ at: at('2026-04-05', 15), act: (world: SimWorld) => world.setClock() }] : []),
  ];

  it('leaves the times of all that follows estimated, and the verdict says so', async () => {
    const { all, review } = await live(dead(false));
    const standings = review.days
      .filter((one) => one.zone === 0 && one.day > day('2026-04-05'))
      .map((one) => one.standing);
    expect(new Set(standings)).toEqual(new Set(['estimated']));
    expect(itemAt(all, 0).line).toContain('its times are estimated until the clock is set');
    expect(itemAt(all, 0).todo).toMatch(/^set the clock/);
  });

  it('is well again once it was set', async () => {
    const { all } = await live(dead(true));
    expect(itemAt(all, 0).line).not.toContain('estimated');
    expect(itemAt(all, 0).todo).not.toContain('set the clock');
  });
});

describe('lux-hours', () => {
  it('that leak in from a neighbour by plan count as planned too', async () => {
    const open = await makeFarm(sampleText('pantry-open'));
    const world = new SimWorld(open.table, at('2026-03-29', 22));
    world.live([], at('2026-04-13', 0) - 1);
    await readInto(open, world);
    // B is dark until 6 April while A beside it is lit, and about 27 lx come through.
    const review = await reviewFarm(open, FIRST);
    await open.archive.close();
    const b = review.days.filter((one) => one.zone === 1 && one.day < day('2026-04-05'));
    expect(b.length).toBe(6);
    for (const one of b) {
      expect(one.luxDelivered).toBeGreaterThan(100);
      expect(one.luxPlanned).toBeCloseTo(one.luxDelivered, -1);
      // Light in a dark stage is not light the zone asked for, nor dark that was kept.
      expect([one.planned, one.delivered, one.extra]).toEqual([0, 0, 0]);
      expect(one.darkPlanned).toBeCloseTo(24, 6);
      expect(one.stray).toBeCloseTo(12, 1);
      expect(one.darkKept).toBeCloseTo(12, 1);
    }
    const { line, todo } = itemAt(verdicts(open.plan, { ...review, days: b }), 0);
    expect(line).toBe("B: dark but for 72 h of other zones' light that the plan lets in, 1 look missed");
    expect(todo).toBe("keep other zones' light out: `check` says how");
  });
});

describe('a visit', () => {
  it('whose false press was taken back at the computer was missed, not untold', async () => {
    // The button is pressed on 2 April at 18:30 and nobody lifted anything.
    await live([{ at: at('2026-04-02', 18) + 1800, act: (world) => world.press() }]);
    const common = {
      plan: 'plan',
      kind: 'lift',
      dueDay: day('2026-04-02'),
      doneDay: day('2026-04-02'),
      why: undefined,
    } as const;
    await writeCorrection(farm.archive, { ...common, id: 'u', zone: 'A', outcome: 'undone', writtenMs: 1 });
    const review = await reviewFarm(farm, FIRST);
    await farm.archive.db.deleteFrom('corrections').execute();
    const lifts = review.incidents.flatMap((one) =>
      one.kind === 'visit' && one.at < at('2026-04-04', 0) && one.visit === 'lift' ? [one] : [],
    );
    expect(lifts).toMatchObject([{ zone: 'A', answer: 'missed' }]);
    const lines = verdicts(farm.plan, review).map((one) => one.line);
    expect(lines[0]).toContain('4 lifts missed');
    expect(lines[2]).toContain('3 lifts missed');
    const text = reviewText(farm.plan, review, verdicts(farm.plan, review), NAMING);
    // C: the press counts, and 3 lifts and 2 looks were missed.
    expect(text).toContain('lx·h; visits: 1 done, 0 late, 5 missed. To do');
  });

  it('missed in several zones at once shares a line', async () => {
    const { review } = await live([]);
    expect(
      incidentLines(review.incidents, NAMING)
        .map((line) => line.words)
        .join('\n'),
    ).toContain('lift in A and C was missed');
  });
});

describe('the room', () => {
  it('is told with the two hours that passed before the controller told of it', async () => {
    const { review } = await live([
      { at: at('2026-04-02', 10), act: (world) => world.device.setProbe(31 * 16) },
      { at: at('2026-04-03', 10), act: (world) => world.device.setProbe(24 * 16) },
    ]);
    const words = incidentLines(review.incidents, NAMING)
      .map((line) => line.words)
      .join('\n');
    expect(words).toContain('the room was outside its band for 1 d (31.0 °C after two hours)');
    // 14 h of the second of April and 10 h of the third.
    const text = reviewText(farm.plan, review, verdicts(farm.plan, review), NAMING);
    expect(text).toMatch(/room 2\d\.\d to 31\.0 °C, 24 h outside its band/);
  });
});

describe('a controller', () => {
  it('that was replaced by a spare goes on in its story', async () => {
    await live([], '2026-04-06');
    const { archive, plan } = farm;
    const spare = new SimWorld(farm.table, at('2026-04-07', 0));
    spare.runTo(at('2026-04-13', 0) - 1);
    spare.readLog();
    await rememberController(archive, 99, `plan/${itemAt(plan.controllers, 0).name}`, 0);
    await rememberTable(archive, 99, farm.table, 0);
    await appendRecords(archive, 99, [...spare.read.values()], 0);
    const review = await reviewFarm(farm, FIRST);
    expect(itemAt(review.controllers, 0).identities).toEqual([IDENTITY, 99]);
    const a = itemAt(verdicts(plan, review), 0);
    // The old one tells of 30 March to 5 April, the spare of 7 to 11 April; of 6 April nobody does.
    expect(a.totals.delivered).toBeCloseTo(12 * 12, 1);
    expect(a.totals.unknown).toBeCloseTo(12, 1);
    expect(a.totals.planned).toBeCloseTo(13 * 12, 1);
    await archive.db.deleteFrom('controllers').where('identity', '=', 99).execute();
    await archive.db.deleteFrom('records').where('identity', '=', 99).execute();
  });

  it('that was without power when the review begins is known to have been', async () => {
    await live([off(at('2026-03-30', 1)), on(at('2026-04-09', 10))]);
    const review = await reviewFarm(farm, day('2026-04-05'));
    const days = review.days.filter((one) => one.zone === 0);
    expect(days[0]).toMatchObject({ planned: 12, delivered: 0, unknown: 0, lost: { off: 12 } });
  });
});

describe('beside the zones', () => {
  it('the clock drift is told from readings that nothing disturbed', () => {
    const reading = (days: number, ahead: number, setAfter = false) => ({
      hostMs: unixMsFromUtc(utcSeconds(8e8 + days * DAY)),
      controller: utcSeconds(8e8 + days * DAY + ahead),
      ...{ sub: 0, known: true, estimated: false, setAfter, newest: 0 },
    });
    // Two weeks at 3 s a week, set, then a week at 3 s.
    const drift = clockDrift([reading(0, 0), reading(7, 3), reading(14, 6, true), reading(21, 3)], []);
    expect(drift).toEqual({ secondsPerWeek: expect.closeTo(3, 9), mostSeconds: 6, readings: 4 });
    expect(clockDrift([reading(0, 0), reading(0.1, 1)], [])).toBeUndefined();
    // Read every six hours, no two readings in a row are a day apart.
    const often = Array.from({ length: 29 }, (_, i) => reading(i / 4, (3 / 28) * i));
    expect(clockDrift(often, [])?.secondsPerWeek).toBeCloseTo(3, 1);
    // A flash on day 10 set the clock: of that pair nothing can be told.
    const flashed = [reading(0, 0), reading(7, 3), reading(14, 2), reading(21, 5)];
    expect(clockDrift(flashed, [8e8 + 10 * DAY])?.secondsPerWeek).toBeCloseTo(3, 9);
    // The log's own record of the setting that a reading tells of already.
    expect(clockDrift([reading(0, 6, true), reading(7, 3)], [8e8 + 5])?.secondsPerWeek).toBeCloseTo(3, 9);
  });

  it('the harvest ahead is told by week, with a mass once three bags were weighed', async () => {
    const visits = sure(farm.compiled.timeline).visits;
    const weeks = harvestForecast(farm.plan, visits, [], new Map(), day('2026-04-13'));
    // 90 days after 16 February is 17 May, a Sunday; after 9 March 7 June, a Sunday.
    expect(forecastLines(weeks, 'metric')).toEqual([
      'week of 2026-05-11: 4 bags: A (early, 2), C (early, 2)',
      'week of 2026-06-01: 4 bags: B (late, 2), D (late, 2)',
    ]);
    const weighed = [70, 80, 90].map((massG, i) => ({
      ...{
        id: String(i),
        plan: 'plan',
        batch: 'early',
        zone: itemAt(['A', 'A', 'C'], i),
        bag: itemAt(['A1', 'A2', 'C1'], i),
        why: undefined,
      },
      ...{ day: day('2026-05-20'), writtenMs: 0, kind: 'note' as const, massG },
    }));
    const later = harvestForecast(farm.plan, visits, weighed, new Map(), day('2026-05-20'));
    // By hand: t of 2 is 4.303, standard deviation 10: of one bag 4.303 √(100 + 100/3) = 49.7, of four 4.303 √(400 + 1600/3) = 131.5.
    expect(forecastLines(later, 'metric')).toEqual([
      'week of 2026-05-18: 1 bag, about 80 g (30 g to 130 g, 95 % sure): C (early, 1)',
      'week of 2026-06-01: 4 bags, about 320 g (189 g to 451 g, 95 % sure): B (late, 2), D (late, 2)',
    ]);
    // Cut and answered at the button, but not weighed: nothing is left to come there. Seen is not cut.
    const answered = (zone: number, answer: 'done' | 'seen') =>
      [
        visitKey(zone, 'harvest', day('2026-05-17')),
        {
          ...{ zone, kind: 'harvest' as const, dueDay: day('2026-05-17'), answer },
          ...{ lateMinutes: 0, corrected: false },
        },
      ] as const;
    const outcomes = new Map([answered(0, 'done'), answered(2, 'seen')]);
    const cut = harvestForecast(farm.plan, visits, [], outcomes, day('2026-05-20'));
    expect(forecastLines(cut, 'metric')[0]).toBe('week of 2026-05-18: 2 bags: C (early, 2)');
  });

  it('a lot has its record, and pages stand alone', async () => {
    const { review: before } = await live([off(at('2026-03-31', 12)), on(at('2026-04-01', 18))]);
    expect(before.notes).toEqual([]);
    await writeNote(farm.archive, {
      ...{
        id: 'c',
        plan: 'plan',
        batch: 'early',
        zone: 'A',
        bag: 'A2',
        day: day('2026-04-05'),
        writtenMs: 0,
      },
      ...{ kind: 'cull', why: 'mould' },
    });
    const review = await reviewFarm(farm, FIRST);
    const records = batchesOfLot(farm.plan, 'early').map((batch) => lotBatch(farm.plan, review, batch));
    const rows = Object.fromEntries(lotRows(itemAt(records, 0), 'metric'));
    expect(rows).toMatchObject({ sealed: '2026-02-16', culled: 'early-02 2026-04-05 (mould)' });
    // Planned to 7 June, read at the midnight that begins 13 April: what is told is not the whole.
    expect(rows['records read']).toBe('up to 2026-04-13');
    expect(rows.zones).toBe('A and C (4 bags)');
    expect(rows['light in A']).toMatch(/^150 h, 89\.2 % of its light/);
    const record = lotRecord(farm.plan, review, itemAt(farm.plan.batches, 0), NAMING, []);
    const part = (heading: string) => sure(record.parts.find((one) => one.heading.startsWith(heading)));
    // Entered: one cull. Bags 1 and 2 stand in A, 3 and 4 in C, from the sealing on.
    expect(part('Bags').rows.map((row) => row.slice(0, 4))).toEqual([
      ['early-01', 'A-1 from 2026-02-16', '', 'in'],
      ['early-02', 'A-2 from 2026-02-16', '', 'culled (mould) 2026-04-05'],
      ['early-03', 'C-1 from 2026-02-16', '', 'in'],
      ['early-04', 'C-2 from 2026-02-16', '', 'in'],
    ]);
    expect(part('Lost').lines).toEqual(['early: 1 of 4 bags culled (week 7 mould 1)']);
    // Planned: 28 dark days, 14 of wake, 49 of climb, 21 of ripen from 16 February on.
    expect(
      part('Stages')
        .rows.slice(0, 4)
        .map((row) => row.slice(2)),
    ).toEqual([
      ['colonise', '2026-02-16', '2026-03-15'],
      ['wake', '2026-03-16', '2026-03-29'],
      ['climb', '2026-03-30', '2026-05-17'],
      ['ripen', '2026-05-18', '2026-06-07'],
    ]);
    // Logged: 14 days of 12 h, of which the cut of 30 hours took 8 h and 10 h.
    expect(part('Light').rows.map((row) => row.slice(0, 4))).toEqual([
      ['A', '168 h', '150 h', '0 h'],
      ['C', '168 h', '150 h', '0 h'],
    ]);
    const outages = part('Outages').lines;
    expect(outages.some((line) => line.includes('2026-03-31') && line.includes('no power for 1 d 6 h'))).toBe(
      true,
    );
    // Missed: lifts of 2, 5, 8 and 11 April, looks of 30 March and 6 April, in A and C. B and D are another batch's.
    expect(part('Visits').rows.map(([kind, done, , , missed]) => [kind, done, missed])).toEqual([
      ['look', '0', '4'],
      ['lift', '0', '8'],
    ]);
    expect(outages.join()).not.toMatch(/ in (B|D)\b/);
    expect(part('The book').rows.map(([about, bag, entry]) => [about, bag, entry])).toEqual([
      ['2026-04-05', 'A2', 'culled (mould)'],
    ]);
    expect(part('Mix').lines.join()).toContain('was not written down');
    const page = reviewPage({
      ...{ plan: farm.plan, review, verdicts: verdicts(farm.plan, review), forecast: [], naming: NAMING },
      ...{ crop: undefined, pictures: new Map() },
    });
    for (const text of [
      page,
      recordPage(
        farm.plan,
        'early',
        [lotRecord(farm.plan, review, itemAt(records, 0).batch, NAMING, [])],
        new Map(),
      ),
    ]) {
      expect(text).not.toMatch(/<script|https?:|<link/);
      expect(text.startsWith('<!doctype html>')).toBe(true);
    }
  });
});
