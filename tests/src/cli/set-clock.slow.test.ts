/** `log --set-clock` sets the clock also where no plan is named; without the option nothing is set. */

import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { here as leanward } from './here.ts';
import { PLANS } from './run.ts';

let folder: string;
let port: string;
beforeAll(async () => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-clock-'));
  port = `virtual:${join(folder, 'rack.json')}`;
  const keep = ['--archive', join(folder, 'a.sqlite'), '--yes'];
  expect((await leanward('flash', join(PLANS, 'pantry.plan.yaml'), '--port', port, ...keep)).code).toBe(0);
  expect((await leanward('status', '--port', port, '--advance', '3d')).code).toBe(0);
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

it('without a plan: the controller writes down that its clock was set, and it is said', async () => {
  const newest = async () => (await leanward('log', '--port', port, '--last', '1')).out;
  expect(await newest()).not.toContain('clock set');
  const ran = await leanward('log', '--set-clock', '--port', port);
  expect(ran).toMatchObject({
    code: 0,
    err: expect.stringContaining("The controller's clock was set to this computer's."),
  });
  expect(await newest()).toMatch(/2026-02-19 00:00 +clock set\b/);
});
