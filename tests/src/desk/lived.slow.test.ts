/** What the desk tells of a rack that lived for a while, for the bands of its weeks. */

import { join } from 'node:path';
import { beforeEach, describe, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import type { Lived } from '../../../src/desk/wire-book.ts';
import { ask, end, startDesk, sweep } from './desk.ts';
import { type LivedRack, livedRack } from './rack-lived.ts';

const PANTRY = 'pantry.plan.yaml';

describe('a rack that lived', () => {
  let rack: LivedRack;
  beforeEach(async () => {
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
      sweep(rack.folder);
    }
  });
});
