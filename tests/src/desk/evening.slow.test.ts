/** The desk's server on visits, grow book and review, against the commands. */

import { existsSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import {
  type Evening,
  PHOTO_BYTES_MAX,
  PRESS_BYTES_MAX,
  PRESS_TEXTS,
  type Press,
  type Pressed,
  type ReviewAnswer,
} from '../../../src/desk/wire-book.ts';
import { leanward } from '../cli/run.ts';
import { type Asked, ask, end, folderWith, type StartedDesk, startDesk, sweep } from './desk.ts';
import { type LivedRack, livedRack, PHOTO } from './rack-lived.ts';

const NAME = 'pantry.plan.yaml';

let rack: LivedRack;
let desk: StartedDesk;
const archive = (): string => join(rack.folder, 'pantry.virtual.archive.sqlite');

beforeAll(async () => {
  rack = await livedRack();
  desk = await startDesk(rack.plan);
});

afterAll(async () => {
  await end(desk.child);
  sweep(rack.folder);
});

const NOTHING = Object.fromEntries(PRESS_TEXTS.map((key) => [key, '']));

const press = (given: Partial<Press>, name = NAME): Promise<Asked> =>
  ask(desk, {
    method: 'PUT',
    path: `/press?name=${name}`,
    body: JSON.stringify({ ...NOTHING, ...given }),
  });

async function pressed(given: Partial<Press>): Promise<Pressed> {
  const { status, body } = await press(given);
  expect(status, body).toBe(200);
  return JSON.parse(body);
}

async function evening(): Promise<Evening> {
  const { status, body } = await ask(desk, { path: `/evening?name=${NAME}` });
  expect(status, body).toBe(200);
  return JSON.parse(body);
}

async function review(name = NAME, lot = ''): Promise<ReviewAnswer> {
  const { status, body } = await ask(desk, { path: `/review?name=${name}&lot=${lot}` });
  expect(status, body).toBe(200);
  return JSON.parse(body);
}

interface Told {
  readonly from: string;
  readonly visits: readonly { day: string; kind: string; zone: string; answer?: string }[];
}

const visitsNow = async (): Promise<Told> => (await rack.json('visits', rack.plan)) as unknown as Told;

/** Everything that a press may write, by name; photos by how many. */
const everything = (): Record<string, string> =>
  Object.fromEntries(
    readdirSync(rack.folder)
      .filter((name) => name !== '.leanward-desk')
      .map((name) => {
        const path = join(rack.folder, name);
        return [name, name.endsWith('.photos') ? `${readdirSync(path)}` : readFileSync(path, 'latin1')];
      }),
  );

describe('the evening on the desk', () => {
  it('shows what `visits` shows, of the day that it takes, and looking writes nothing', async () => {
    const before = everything();
    const told = await visitsNow();
    const now = await evening();
    expect(now).toMatchObject({ today: '2026-04-08', isPractice: true, isArchiveThere: true });
    expect(told.from).toBe(now.today);
    const today = told.visits.filter(({ day }) => day === told.from);
    expect(now.visits.map(({ kind, place }) => [kind, place])).toEqual(
      today.map(({ kind, zone }) => [kind, zone]),
    );
    expect(now.visits.filter(({ isOverdue }) => isOverdue)).toHaveLength(4);
    expect(now.batches.map(({ name, bags }) => [name, bags.length])).toEqual([
      ['early', 4],
      ['late', 4],
    ]);
    await review();
    expect(everything()).toEqual(before);
  });

  it('answers a visit and takes that back, as `visits --done` and `--undo` do', async () => {
    const lift = async (): Promise<string | undefined> => {
      const { from, visits } = await visitsNow();
      return visits.find(({ day, kind, zone }) => day === from && kind === 'lift' && zone === 'A')?.answer;
    };
    const { said } = await pressed({ act: 'done', place: 'A', kind: 'lift' });
    expect(said).toEqual([
      'lift in A of 2026-04-08: kept as done in pantry.virtual.archive.sqlite (the controller does not know).',
    ]);
    expect(await lift()).toBe('done');
    expect((await evening()).visits.find(({ place, kind }) => place === 'A' && kind === 'lift')?.isDone).toBe(
      true,
    );
    await pressed({ act: 'undo', place: 'A', kind: 'lift' });
    expect(await lift()).toBeUndefined();
  });

  it('keeps a note with its photo, shows the photo, and takes the entry back', async () => {
    const { said } = await pressed({
      ...{ act: 'note', bags: 'A-2', height: '12 cm', lean: '20 deg left', text: 'three tips' },
      ...{ photo: PHOTO.toString('base64'), photoName: 'tips.png' },
    });
    expect(said[0]).toMatch(
      /^Kept: 2026-04-08 {2}early-02 \(A-2\) {2}120 mm high, leans 20° to the left, photo/,
    );
    const { notes } = (await rack.json('note', rack.plan)) as { notes: { id: string; kind: string }[] };
    const kept = sure(notes.find(({ kind }) => kind === 'note'));
    expect(kept).toMatchObject({ bag: 'early-02', heightMm: 120, leanDeg: 20, text: 'three tips' });
    const bag = (await evening()).batches[0]?.bags[1];
    const photo = sure(bag?.entries[0]?.photo);
    const shown = await ask(desk, { path: `/photo?name=${NAME}&photo=${photo}` });
    expect(shown.headers['content-type']).toBe('image/png');
    expect(Number(shown.headers['content-length'] ?? PHOTO.length)).toBe(PHOTO.length);
    expect((await pressed({ act: 'takeBack', id: kept.id })).said[0]).toMatch(/^Taken back: 2026-04-08/);
    expect((await evening()).batches[0]?.bags[1]?.entries).toEqual([]);
  });

  it('keeps a note on the whole rack, and remarks on a harvest that can hardly be', async () => {
    const { said } = await pressed({ act: 'note', text: 'fan moved' });
    expect(said[0]).toMatch(/^Kept: 2026-04-08 {2}the whole rack {2}fan moved/);
    const [onRack] = (await evening()).rackEntries;
    expect(onRack?.words).toBe('fan moved');
    await pressed({ act: 'takeBack', id: sure(onRack).id });
    const much = await pressed({ act: 'harvest', bags: 'late-01', fresh: '1 kg' });
    expect(much.said[1]).toMatch(/^late-01 gave 1\.00 kg fresh from 880 g of dry mix.*114 %.*take it back/);
    const cut = (await evening()).batches[1]?.bags[0]?.entries.at(-1);
    await pressed({ act: 'takeBack', id: sure(cut).id });
    expect((await evening()).batches[1]?.bags[0]?.entries).toEqual([]);
  });

  it.each<readonly [string, Partial<Press>, RegExp]>([
    ['a press that is none', { act: 'water' }, /knows no press 'water'/],
    ['a visit of no zone', { act: 'done', place: 'Q', kind: 'lift' }, /no zone 'Q'/],
    ['a visit that was not due', { act: 'done', place: 'A', kind: 'harvest' }, /No harvest in A was due by/],
    ['a note of nothing', { act: 'note', bags: 'A-1' }, /nothing to note/],
    ['a height without its unit', { act: 'note', bags: 'A-1', height: '12' }, /'12' needs a unit/],
    ['a height that no bag has', { act: 'note', bags: 'A-1', height: '9 m' }, /out of range/],
    ['a day to come', { act: 'note', bags: 'A-1', text: 'x', day: '2060-01-01' }, /still to come/],
    ['a day that is none', { act: 'note', bags: 'A-1', text: 'x', day: 'soon' }, /'soon' is not a date/],
    ['a bag that is none', { act: 'cull', bags: 'A-9', why: 'mould' }, /no bag 'A-9'/],
    ['a reason that is none', { act: 'cull', bags: 'A-1', why: 'bored' }, /'bored' is no reason/],
    ['more than a bag holds', { act: 'harvest', bags: 'A-1', fresh: '9 kg' }, /cannot have given/],
    ['masses for other bags', { act: 'harvest', bags: 'A-1', fresh: '80 g, 90 g' }, /1 bag and 2 masses/],
    ['a move to nowhere', { act: 'move', bags: 'A-1' }, /Where to\?/],
    ['a move to a full zone', { act: 'move', bags: 'A-1', to: 'C' }, /C/],
    [
      'a move to where a bag stands',
      { act: 'move', bags: 'A-1', to: 'C-2' },
      /choose early-04 to change places with/,
    ],
    ['a stage that is none', { act: 'began', bags: 'early', what: 'song' }, /neither a sign nor a stage/],
    ['an entry that is none', { act: 'takeBack', id: 'ffffffff' }, /No note begins/],
    ['an end where bags are left', { act: 'end' }, /No zone has lost its last bag/],
    [
      'a photo that is none',
      { act: 'note', bags: 'A-1', photo: Buffer.from('<svg/>').toString('base64'), photoName: 'x.svg' },
      /x\.svg is no photo that a page can show.*JPEG, PNG, WebP or GIF/,
    ],
  ])('refuses %s, and nothing is written', async (_, given, words) => {
    const before = everything();
    const { status, body } = await press(given);
    expect(status).toBe(409);
    expect(body).toMatch(words);
    expect(body).not.toMatch(/ {4}at |--day|--height/);
    expect(everything()).toEqual(before);
  });

  it('refuses what comes from elsewhere, is of no plan here, or is too large', async () => {
    const before = everything();
    const body = JSON.stringify({ ...NOTHING, act: 'note', bags: 'A-1', text: 'x' });
    const path = `/press?name=${NAME}`;
    const other = await ask(desk, { method: 'PUT', path, body, headers: { origin: 'http://evil.example' } });
    expect(other).toMatchObject({ status: 403 });
    const keyless = await ask(desk, { method: 'PUT', path, body, headers: { cookie: undefined } });
    expect(keyless).toMatchObject({ status: 403 });
    expect(await press({ act: 'end' }, '..%2Fpantry.plan.yaml')).toMatchObject({ status: 403 });
    expect(await press({ act: 'end' }, 'none.plan.yaml')).toMatchObject({ status: 404 });
    expect(await ask(desk, { path: '/evening?name=none.plan.yaml' })).toMatchObject({ status: 404 });
    expect(await ask(desk, { path: `/photo?name=${NAME}&photo=..%2F${NAME}` })).toMatchObject({
      status: 404,
    });
    const large = Buffer.alloc(PHOTO_BYTES_MAX + 1);
    PHOTO.copy(large);
    const given = { act: 'note', bags: 'A-1', photo: large.toString('base64'), photoName: 'large.png' };
    const tooLarge = await press(given);
    expect(tooLarge).toMatchObject({ status: 409 });
    expect(tooLarge.body).toMatch(/at most 20 MB\. Nothing was written/);
    expect(existsSync(join(rack.folder, 'pantry.virtual.photos', 'large.png'))).toBe(false);
    // Of more than that nothing is even read; a server that has said no may hang up on the rest.
    const tooMuch = await press({ act: 'note', photo: 'x'.repeat(PRESS_BYTES_MAX) }).catch(
      (error: NodeJS.ErrnoException) => error.code,
    );
    if (typeof tooMuch === 'string') expect(['EPIPE', 'ECONNRESET']).toContain(tooMuch);
    else {
      expect(tooMuch).toMatchObject({ status: 413 });
      expect(tooMuch?.body).toMatch(/at most 20 MB\. Nothing was written/);
    }
    expect(everything()).toEqual(before);
  });

  it('says what a move would write, in the words and with the refusals of `move`, and writes nothing', async () => {
    const before = everything();
    const would = (given: Partial<Press>): Promise<Asked> =>
      ask(desk, { path: `/would-move?${new URLSearchParams({ name: NAME, ...given })}` });
    const swap = await would({ bags: 'A-1', swap: 'C-2' });
    expect(JSON.parse(swap.body)).toEqual({
      said: ['2026-04-08  early-01 (A-1)  moved to C-2', '2026-04-08  early-04 (C-2)  moved to A-1'],
      entry: '',
    });
    for (const [given, words, option] of [
      [{ bags: 'early-01', to: 'C' }, /^Zone C has 2 places and no free place\./, ['--to', 'C']],
      [{ bags: 'early-01', swap: 'late-01' }, /^Zone B is lit for late/, ['--swap', 'late-01']],
    ] as const) {
      const refused = await would(given);
      expect(refused.status).toBe(409);
      expect(refused.body).toMatch(words);
      const [sentence] = refused.body.split('. ');
      expect((await leanward('move', rack.plan, 'early-01', ...option)).err).toContain(sentence);
    }
    expect(everything()).toEqual(before);
  });

  it('tells the growth that was measured, for the likely lean, by heights of the grow book', async () => {
    const rates = async (): Promise<unknown> =>
      JSON.parse((await ask(desk, { path: `/rates?name=${NAME}` })).body);
    expect(await rates()).toEqual([]);
    const first = await pressed({ act: 'note', bags: 'A-1', height: '20 mm', day: '2026-03-29' });
    const second = await pressed({ act: 'note', bags: 'A-1', height: '70 mm', day: '2026-04-08' });
    expect(await rates()).toEqual([{ zone: 'A', batch: 'early', low: 2.5, mid: 5, high: 10 }]);
    for (const { entry } of [first, second]) await pressed({ act: 'takeBack', id: entry });
    expect(await rates()).toEqual([]);
  });

  it('moves, gives the entry that takes it back, and of two bags that changed places takes back both', async () => {
    const places = async (): Promise<unknown> => (await evening()).batches[0]?.bags.map(({ place }) => place);
    const before = await places();
    const { entry } = await pressed({ act: 'move', bags: 'early-01', swap: 'early-04' });
    expect(await places()).toEqual(['C-2', 'A-2', 'C-1', 'A-1']);
    await pressed({ act: 'takeBack', id: entry });
    expect(await places()).toEqual(before);
  });

  it('culls, begins a stage of a batch with its change of the plan, and the last harvest offers to end the zones', async () => {
    const culled = await pressed({ act: 'cull', bags: 'A-1', why: 'mould' });
    expect(culled.said[1]).toBe('early-01 is no longer counted in visits and light figures.');
    const twice = await press({ act: 'cull', bags: 'early-01', why: 'mould' });
    expect(twice.body).toMatch(
      /was culled on 2026-04-08.*take it back: press “Take back” in the bag’s history/,
    );
    const begun = await pressed({ act: 'began', bags: 'late', what: 'knobs', day: '2026-04-07' });
    expect(begun.changed?.words).toMatch(
      /^The stages that follow shift; the plan was changed:.*press “Flash the plan” in the pane Controller\.$/,
    );
    expect(readFileSync(rack.plan, 'utf8')).toMatch(/late:.*began: \{ climb: 2026-04-07 \}/);
    const again = await pressed({ act: 'began', bags: 'late', what: 'climb', day: '2026-04-07' });
    expect(again.changed).toBeUndefined();
    expect(again.said[1]).toMatch(/pantry\.plan\.yaml has that day for it already: nothing changes there\.$/);
    const harvested = await pressed({
      ...{ act: 'harvest', bags: 'early-02, early-03 early-04', fresh: '240 g', together: 'yes' },
    });
    expect(harvested.said.at(-1)).toBe('They are out; visits there count the bags that are left.');
    const { mayEnd } = await evening();
    expect(mayEnd?.words).toMatch(/^Zones A and C have no bag left\..*pantry\.plan\.yaml would change:$/);
    const ended = await pressed({ act: 'end' });
    expect(ended.changed?.lines).toEqual(sure(mayEnd).lines);
    expect((await evening()).mayEnd).toBeUndefined();
    const { crop } = (await rack.json('review', rack.plan)) as { crop: object };
    expect(JSON.stringify(crop)).toMatch(/80/);
  });

  it('shows the review as its page does, and the record of a lot', async () => {
    const shown = await review();
    if (!shown.isThere) throw new Error(shown.words);
    expect(shown.lots).toEqual(['early', 'late']);
    const { zones } = (await rack.json('review', rack.plan)) as { zones: { verdict: string }[] };
    const texts = shown.markup.replaceAll('&#39;', "'");
    expect(zones).toHaveLength(4);
    for (const { verdict } of zones) expect(texts).toContain(verdict);
    expect(shown.markup).toMatch(/<h2>The crop<\/h2>/);
    expect(shown.markup).not.toMatch(/ style=|<script/);
    const lot = await review(NAME, 'early');
    expect(lot.isThere && lot.markup).toMatch(/<h3>Bags<\/h3>[\s\S]*early-02[\s\S]*harvested 2026-04-08/);
  });

  it('says plainly that there is no archive, and makes none by looking', async () => {
    const folder = folderWith('wire-rack');
    const own = await startDesk(folder);
    try {
      const asked = await ask(own, { path: '/review?name=wire-rack.plan.yaml' });
      expect(JSON.parse(asked.body)).toEqual({
        isThere: false,
        words: expect.stringMatching(/^There is no archive wire-rack\.archive\.sqlite yet/),
      });
      const looked = await ask(own, { path: '/evening?name=wire-rack.plan.yaml' });
      expect(JSON.parse(looked.body)).toMatchObject({ isArchiveThere: false, isPractice: false });
      const refused = await ask(own, {
        method: 'PUT',
        path: '/press?name=wire-rack.plan.yaml',
        body: JSON.stringify({ ...NOTHING, act: 'takeBack', id: 'x' }),
      });
      expect(refused).toMatchObject({ status: 409 });
      expect(readdirSync(folder).filter((name) => !name.startsWith('.'))).toEqual(['wire-rack.plan.yaml']);
    } finally {
      await end(own.child);
      sweep(folder);
    }
  });

  it('tells a fault of the archive or of the plan in a sentence, and goes on', async () => {
    const sound = readFileSync(archive());
    const plan = readFileSync(rack.plan, 'utf8');
    try {
      writeFileSync(archive(), 'no archive at all\n'.repeat(300));
      for (const path of [`/evening?name=${NAME}`, `/review?name=${NAME}`]) {
        const { status, body } = await ask(desk, { path });
        expect(status).toBe(409);
        expect(body).toMatch(
          /^pantry\.virtual\.archive\.sqlite is not a run archive\. It was left as it is\./,
        );
      }
      expect(await press({ act: 'done', place: 'B', kind: 'look' })).toMatchObject({ status: 409 });
      writeFileSync(archive(), sound);
      writeFileSync(rack.plan, plan.replace('facing: right', 'facing: rihht'));
      const broken = await ask(desk, { path: `/evening?name=${NAME}` });
      expect(broken.status).toBe(409);
      expect(broken.body).toMatch(/value-unknown-word[\s\S]*The plan has errors\./);
    } finally {
      writeFileSync(archive(), sound);
      writeFileSync(rack.plan, plan);
      rmSync(`${archive()}-journal`, { force: true });
    }
    expect((await evening()).today).toBe('2026-04-08');
  });
});
