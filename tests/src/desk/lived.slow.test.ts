/** What the desk tells of a rack that lived for a while, for the bands of its weeks. */

import { existsSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { type Evening, type Lived, PRESS_TEXTS } from '../../../src/desk/wire-book.ts';
import { leanward } from '../cli/run.ts';
import { ask, end, startDesk, sweep } from './desk.ts';
import { type LivedRack, livedRack } from './rack-lived.ts';

const PANTRY = 'pantry.plan.yaml';

describe('a rack that lived', () => {
  let rack: LivedRack;
  beforeAll(async () => {
    rack = await livedRack();
    const port = `virtual:${join(rack.folder, 'rack.json')}`;
    // It is the evening of 2026-04-08 there: the power is gone for three hours of the next day's light.
    await rack.json(
      'log',
      rack.plan,
      '--port',
      port,
      '--advance',
      '2d',
      '--event',
      '2026-04-09 12:00 cut 3h',
    );
    await rack.json('cull', rack.plan, 'A-1', '--why', 'mould', '--day', '2026-04-09');
  });

  afterAll(() => sweep(rack.folder));

  it('tells of the power cut, the culled bag and missed visits, with the light that did not come', async () => {
    const desk = await startDesk(rack.folder);
    try {
      const { weeks, practice }: Lived = JSON.parse(
        (await ask(desk, { path: `/lived?name=${PANTRY}` })).body,
      );
      expect(practice).toBe(true);
      const { happened, others } = sure(weeks);
      const day = sure(dayFromIso('2026-04-09'));
      const [cut] = happened.filter(({ kind }) => kind === 'outage');
      expect(cut).toMatchObject({ day });
      expect(sure(cut).zone).toBeUndefined();
      expect(sure(cut).from).toBeCloseTo(0.5, 2);
      expect(sure(cut).days).toBeCloseTo(3 / 24, 2);
      expect(happened.filter(({ kind }) => kind === 'cull')).toMatchObject([{ day, zone: 'A' }]);
      expect(happened.filter(({ kind }) => kind === 'missed').length).toBeGreaterThan(0);
      const lost = others.filter((one) => one.day === day);
      expect(lost.length).toBeGreaterThan(0);
      for (const { asked, lit } of lost) expect(asked - lit).toBeCloseTo(180, -1);
    } finally {
      await end(desk.child);
    }
  });

  it('answers at once while the review is worked out', async () => {
    const desk = await startDesk(rack.folder);
    try {
      const began = performance.now();
      let ended = 0;
      const review = ask(desk, { path: `/review?name=${PANTRY}` }).finally(() => {
        ended = performance.now();
      });
      let [last, longest] = [began, 0];
      while (ended === 0) {
        expect((await ask(desk, { path: '/desk' })).status).toBe(200);
        const now = performance.now();
        longest = Math.max(longest, now - last);
        last = now;
      }
      expect((await review).status).toBe(200);
      // In the server's own thread the longest wait is the better part of it.
      expect(longest).toBeLessThan((ended - began) / 4);
    } finally {
      await end(desk.child);
    }
  });

  it('keeps and looks into the archive that it is given, as the commands do; a second desk with another is refused', async () => {
    const other = join(rack.folder, 'farm.sqlite');
    const beside = join(rack.folder, 'pantry.virtual.archive.sqlite');
    const before = readFileSync(beside);
    const desk = await startDesk(rack.folder, '--archive', other);
    try {
      const look = async (): Promise<Evening> =>
        JSON.parse((await ask(desk, { path: `/evening?name=${PANTRY}` })).body);
      expect(await look()).toMatchObject({ archive: 'farm.sqlite', isArchiveThere: false });
      expect(existsSync(other)).toBe(false);
      const given = { act: 'note', bags: 'early-03', text: 'three tips', day: '2026-04-08' };
      const body = JSON.stringify({ ...Object.fromEntries(PRESS_TEXTS.map((key) => [key, ''])), ...given });
      const pressed = await ask(desk, { method: 'PUT', path: `/press?name=${PANTRY}`, body });
      expect(pressed.status, pressed.body).toBe(200);
      expect(await look()).toMatchObject({ isArchiveThere: true, isPractice: false });
      const { notes } = await rack.json('note', rack.plan, '--archive', other);
      expect(notes).toContainEqual(expect.objectContaining({ bag: 'early-03', text: 'three tips' }));
      expect(readFileSync(beside)).toEqual(before);
      const second = await leanward('desk', rack.folder, '--no-open', '--archive', beside);
      expect(second).toMatchObject({ code: 2 });
      expect(second.err).toMatch(/Another desk has .* open already, with .*farm\.sqlite/);
    } finally {
      await end(desk.child);
    }
  });
});
