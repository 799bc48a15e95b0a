/** A season from the command line, on a virtual controller: log, visits, note, review, prep. */

import { copyFileSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import ICAL from 'ical.js';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { openArchive } from '../../../src/archive/open.ts';
import { readRecords } from '../../../src/archive/read.ts';
import { here as leanward } from './here.ts';
import { jsonOf, PLANS, type Ran, start } from './run.ts';

let folder: string;
let plan: string;
let port: string;
const archive = (): string => join(folder, 'pantry.virtual.archive.sqlite');
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-season-'));
  plan = join(folder, 'pantry.plan.yaml');
  copyFileSync(join(PLANS, 'pantry.plan.yaml'), plan);
  port = `virtual:${join(folder, 'rack.json')}`;
  expect((await leanward('flash', plan, '--port', port, '--yes')).code).toBe(0);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs a command that must succeed. */
async function done(...words: string[]): Promise<Ran> {
  const ran = await leanward(...words);
  expect(ran, ran.err).toMatchObject({ code: 0 });
  return ran;
}

const day = ['--day', '2026-04-18'];

describe('a season', () => {
  it('log reads what is new into an archive beside the plan, once', async () => {
    await done('status', '--port', port, '--advance', '40d');
    const first = jsonOf('log', (await done('log', plan, '--port', port, '--json')).out);
    expect(first.archive).toMatchObject({ place: archive(), lost: 0, damaged: 0 });
    expect((first.records as unknown[]).length).toBe((first.archive as { added: number }).added);
    const again = jsonOf('log', (await done('log', plan, '--port', port, '--json')).out);
    expect(again.archive).toMatchObject({ added: 0, newest: (first.archive as { newest: number }).newest });
    expect((await done('log', plan, '--port', port)).out).toContain('0 records added');
  });

  it('log killed at any moment loses and doubles nothing', async () => {
    // The same 200 times over the archive alone, in tests/archive/kill.test.ts; here the whole command.
    for (let kill = 0; kill < 12; kill++) {
      await done('status', '--port', port, '--advance', '1d');
      const child = start(['log', plan, '--port', port]);
      setTimeout(() => child.kill('SIGKILL'), 150 + 40 * kill);
      await new Promise((resolve) => child.once('close', resolve));
    }
    await done('log', plan, '--port', port);
    const kept = await openArchive(archive(), 0);
    const [controller] = await kept.db.selectFrom('controllers').select('identity').execute();
    expect(await gapsOf(kept, sure(controller).identity)).toEqual([]);
    let next = 1;
    for await (const record of readRecords(kept, sure(controller).identity))
      expect(record.sequence).toBe(next++);
    await kept.close();
  });

  it('log exports what other tools read', async () => {
    const csv = join(folder, 'log.csv');
    await done('log', plan, '--export', csv);
    expect(readFileSync(csv, 'utf8').startsWith('controller,sequence,record')).toBe(true);
    expect((await leanward('log', plan, '--export', join(folder, 'log.xls'))).code).toBe(2);
  });

  it('visits are answered over the link and taken back', async () => {
    const list = jsonOf('visits', (await done('visits', plan, '--json', '--day', '2026-04-02')).out);
    const tonight = (list.visits as { day: string; kind: string }[]).filter(
      (one) => one.day === '2026-04-02',
    );
    expect(tonight.filter(({ kind }) => kind === 'lift')).toMatchObject([
      { zone: 'A', bags: ['early-01', 'early-02'], places: ['A-1', 'A-2'] },
      { zone: 'C' },
    ]);
    // Nobody answered a look so far: the last one of each zone is still to be done.
    expect(tonight.filter(({ kind }) => kind === 'look')).toMatchObject(
      ['A', 'B', 'C', 'D'].map((zone) => ({ zone, answer: 'missed', overdue: '2026-03-30' })),
    );
    const undone = await leanward('visits', plan, '--undo', 'B', 'lift', '--port', port);
    expect(undone).toMatchObject({ code: 3 });
    expect((await leanward('visits', plan, '--done', 'Z', 'lift')).code).toBe(2);
    // It was 9 April; on the 11th at 18:00 the next lift of A and C is due.
    await done('status', '--port', port, '--advance', '2d 19h');
    const answered = await done('visits', plan, '--done', 'A', 'lift', '--port', port, '--json');
    expect(jsonOf('visits', answered.out)).toEqual({
      zone: 'A',
      kind: 'lift',
      answer: 'done',
      on: 'controller',
    });
    const locked = join(folder, 'no.sqlite');
    writeFileSync(locked, 'SQLite? No.');
    const half = await leanward(
      ...['visits', plan, '--done', 'C', 'lift', '--port', port, '--archive', locked, '--json'],
    );
    expect(half.code).toBe(2);
    expect(jsonOf('error', half.out).error).toMatchObject({
      message: expect.stringMatching(
        /^lift in C: done\. The controller knows it, but its log was not kept: .*not a run archive/,
      ),
      ...{ answer: 'done', on: 'controller' },
    });
    const back = await done('visits', plan, '--undo', 'A', 'lift', '--port', port, '--json');
    expect(jsonOf('visits', back.out)).toMatchObject({ answer: 'undone', on: 'controller' });
    const kept = await done('visits', plan, '--done', 'A', 'lift', '--day', '2026-04-03');
    expect(kept.out).toContain('lift in A of 2026-04-02: kept as done');
    const after = jsonOf('visits', (await done('visits', plan, '--json', '--day', '2026-04-02')).out);
    expect((after.visits as { answer?: string }[])[0]?.answer).toBe('done');
  });

  it('visits of a virtual controller are those of its own day', async () => {
    // It is 11 April in its world, whatever day it is here.
    const ran = await done('visits', plan);
    expect(ran.err).toContain('Today is taken as 2026-04-11, its last day');
    expect(ran.out).toMatch(/2026-04-1[1-9]/);
    const json = await done('visits', plan, '--json', '--archive', archive());
    expect(jsonOf('visits', json.out).from).toBe('2026-04-11');
    const kept = await done('visits', plan, '--done', 'A', 'lift', '--why', 'by hand');
    expect(kept.out).toContain('lift in A of 2026-04-11: kept as done');
    await done('visits', plan, '--undo', 'A', 'lift');
  });

  it('visits write a calendar and a card', async () => {
    const ics = join(folder, 'rack.ics');
    const card = join(folder, 'card.html');
    await done('visits', plan, '--ics', ics, '--card', card, ...day);
    const events = new ICAL.Component(ICAL.parse(readFileSync(ics, 'utf8'))).getAllSubcomponents('vevent');
    expect(events.length).toBeGreaterThan(10);
    expect(readFileSync(card, 'utf8')).toContain('08:00–20:00');
    // The season from early on fills 132 days; a second, shorter writing must not cancel the last of them.
    const early = ['--day', '2026-02-16'];
    await done('visits', plan, '--ics', ics, '--days', '150', ...early);
    const reached = readFileSync(ics, 'utf8');
    expect(reached).toContain('202606');
    await done('visits', plan, '--ics', ics, ...early);
    const again = readFileSync(ics, 'utf8');
    expect(again.match(/UID:/g)?.length).toBe(reached.match(/UID:/g)?.length);
  });

  it('note keeps, shows, culls and takes back', async () => {
    const noted = jsonOf(
      'note',
      (
        await done(
          'note',
          plan,
          'A-1',
          'two',
          'tips',
          '--height',
          '8 cm',
          '--lean',
          '15 deg',
          '--json',
          ...day,
        )
      ).out,
    );
    expect(noted.note).toMatchObject({
      bag: 'early-01',
      number: 1,
      batch: 'early',
      heightMm: 80,
      leanDeg: 15,
      text: 'two tips',
    });
    const whole = (await done('light', plan, '--json')).out;
    const cull = await done('note', plan, 'A2', '--cull', '--why', 'mould', ...day);
    expect((await done('light', plan, '--json')).out).not.toBe(whole);
    expect(cull.out).toContain('A closer look at early-01 (A-1) and late-02 (B-2) every 2 days for 10 days');
    const listed = jsonOf('note', (await done('note', plan, '--json')).out);
    const own = (listed.notes as { kind: string }[]).filter(({ kind }) => kind !== 'sealed');
    expect(own).toHaveLength(2);
    // What the batches were at their sealing is kept beside: early and late.
    expect(listed.notes).toHaveLength(4);
    expect(listed.bending).toEqual({ ok: false, count: 1, why: 'too few' });
    const id = sure((listed.notes as { id: string; kind: string }[]).find((one) => one.kind === 'cull')).id;
    await done('note', plan, '--withdraw', id.slice(0, 8));
    expect((await done('light', plan, '--json')).out).toBe(whole);
    expect(jsonOf('note', (await done('note', plan, '--json')).out).notes).toHaveLength(3);
    for (const [code, ...words] of [
      [2, 'Z9', 'x'],
      [2, 'A1'],
      [2, 'A1', '--height', '8'],
      [1, 'A1', '--lean', '400 deg'],
      [1, 'A1', '--lean=-20 deg'],
      [2, 'A1', '--lean', '20 deg sideways'],
      [1, 'A1', '--mass', '85 kg'],
      [1, 'A1', '--photo', 'none.jpg'],
      [2, 'A1', '--cull', '--why', 'bored'],
    ] as const) {
      const ran = await leanward('note', plan, ...words);
      expect(ran.code, words.join(' ')).toBe(code);
      expect(ran.err).not.toMatch(/^ {4}at /m);
    }
  });

  it('review says how it went, in words, for machines, and as a page', async () => {
    const page = join(folder, 'review.html');
    const ran = await done('review', plan, '--page', page, ...day);
    expect(ran.out).toMatch(/^ {2}A: all of its light, \d+ looks? and \d+ lifts? missed$/m);
    expect(ran.out).toMatch(
      /^ {2}10 visits from 2026-02-23 to 2026-04-08 were missed \(7 looks and 3 lifts; zones A, B, C and D\)$/m,
    );
    expect(existsSync(page)).toBe(true);
    const json = jsonOf('review', (await done('review', plan, '--json', ...day)).out);
    expect(json.zones).toHaveLength(4);
    const lot = await done('review', plan, '--lot', 'early', ...day);
    expect(lot.out).toMatch(/^ {2}sealed +2026-02-16$/m);
    expect((await leanward('review', plan, '--lot', 'none')).code).toBe(2);
    expect((await leanward('review', join(PLANS, 'wire-rack.plan.yaml'))).err).toContain('no archive');
  });

  it('a plan that was changed and not flashed is told wherever one looks', async () => {
    const before = readFileSync(plan, 'utf8');
    writeFileSync(plan, before.replace('every: 7 d }\n      lift', 'every: 5 d }\n      lift'));
    const told = 'the board runs the table of 2026-02-16; since then the plan changed: climb sways every 5 d';
    const status = await done('status', '--port', port, '--plan', plan);
    expect(status.out).toContain(told);
    expect(status.out).toMatch(/^Log .* % full; all( but \d+)? read$/m);
    expect((await done('log', plan, '--port', port)).err).toContain(told);
    const review = (await done('review', plan)).out;
    expect(review).toContain(told);
    // A virtual controller's archive ends in its own time, in the middle of this plan.
    expect(review).not.toContain('No harvest is ahead');
    expect(review).toMatch(/Harvest ahead:\n +week of 2026-/);
    const visits = await done('visits', plan, ...day);
    expect(visits.out).toContain(told);
    expect(visits.out).toMatch(/^Read the log of pantry by 2026-\d\d-\d\d: /m);
    writeFileSync(plan, before);
    expect((await done('visits', plan, ...day)).out).not.toContain('since then');
  });

  it('prep says what to weigh out', async () => {
    const json = jsonOf('prep', (await done('prep', plan, 'early', '--json')).out);
    expect(json).toMatchObject({ units: 'metric', batches: [{ batch: 'early', bags: 4 }] });
    expect((await leanward('prep', plan, 'never')).code).toBe(2);
    expect((await done('prep', plan, '--units', 'us')).out).toContain('lb');
  });

  it('a newer archive is refused with a clear word', async () => {
    const copy = join(folder, 'newer.sqlite');
    copyFileSync(archive(), copy);
    const kept = await openArchive(copy, 0);
    await kept.db.insertInto('schema_version').values({ version: 99, applied_ms: 0 }).execute();
    await kept.close();
    const ran = await leanward('review', plan, '--archive', copy);
    expect(ran.code).toBe(2);
    expect(ran.err).toContain('written by a newer Leanward');
  });
});
