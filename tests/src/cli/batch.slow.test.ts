/** Batches added at once, and batches that flash would refuse. */

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { leanward, PLANS } from './run.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-batch-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const plan = join(folder, 'rack.plan.yaml');
const text = readFileSync(join(PLANS, 'smallest.plan.yaml'), 'utf8');

it('four at once lose none', async () => {
  writeFileSync(plan, text);
  const years = [2027, 2028, 2029, 2030];
  const add = (year: number) =>
    leanward('batch', plan, '--zones', 'A', '--sealed', `${year}-02-01`, '--name', `b${year}`);
  const ran = await Promise.all(years.map(add));
  expect(ran.map(({ code, err }) => `${code} ${err}`)).toEqual(years.map(() => '0 '));
  const after = readFileSync(plan, 'utf8');
  for (const year of years) expect(after).toContain(`b${year}:`);
});

it('one that flash would refuse is not written', async () => {
  const unfit = text.replace('front: { beside', 'front: { photometry: none.ies, beside');
  writeFileSync(plan, unfit);
  const ran = await leanward('batch', plan, '--zones', 'A', '--sealed', '2027-02-01');
  expect(ran).toMatchObject({ code: 1, err: expect.stringMatching(/photometry-missing.*not added/s) });
  expect(readFileSync(plan, 'utf8')).toBe(unfit);
});
