/** No command writes over a plan: each is told to write onto the plan it reads, and onto another one. */

import { copyFileSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { here as leanward } from './here.ts';
import { PLANS } from './run.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const own = join(folder, 'own.plan.yaml');
const other = join(folder, 'other.plan.yaml');

it.each([
  ['check', '--page'],
  ['simulate', '--page'],
  ['simulate', '--trace'],
  ['prep', '--page'],
  ['review', '--page'],
  ['visits', '--ics'],
  ['visits', '--card'],
])('%s %s', async (command, option) => {
  for (const name of [own, other]) copyFileSync(join(PLANS, 'pantry.plan.yaml'), name);
  const before = readFileSync(own);
  for (const target of [own, other]) {
    const { code, out, err } = await leanward(command, own, option, target, '--force');
    expect({ code, out }).toEqual({ code: 2, out: '' });
    expect(err).toMatch(/not written over/);
    expect(readFileSync(target)).toEqual(before);
  }
  expect(readdirSync(folder).sort()).toEqual(['other.plan.yaml', 'own.plan.yaml']);
});
