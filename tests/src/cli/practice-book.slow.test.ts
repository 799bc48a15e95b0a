/** The grow book of a rack that is practised on: with its virtual controller's archive, in its time, beside the real one. */

import { mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { rememberController } from '../../../src/archive/append.ts';
import { withArchive } from '../../../src/archive/open.ts';
import { sampleText } from '../answers/visits/plan.ts';
import { here as leanward } from './here.ts';
import { jsonOf, type Ran } from './run.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-practice-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const plan = join(folder, 'rack.plan.yaml');
const photo = join(folder, 'tips.gif');
// Of years ago, so that no day of it is to come.
writeFileSync(
  plan,
  sampleText('pantry').replace('2026-02-16', '2022-02-14').replace('2026-03-09', '2022-03-07'),
);
writeFileSync(photo, Buffer.from('R0lGODlhAQABAAAAACwAAAAAAQABAAACAkQBADs=', 'base64'));

async function done(...words: string[]): Promise<Ran> {
  const ran = await leanward(...words);
  expect(ran, ran.err).toMatchObject({ code: 0 });
  return ran;
}
const texts = async (): Promise<unknown[]> => {
  const { notes } = jsonOf('note', (await done('note', plan, '--json')).out);
  return (notes as { kind: string; text?: string }[]).flatMap(({ kind, text }) =>
    kind === 'sealed' ? [] : [text],
  );
};

it('goes along into the practice, and is kept in its time', async () => {
  await done('note', plan, 'A-1', 'before', '--photo', photo, '--day', '2022-03-01');
  const real = join(folder, 'rack.archive.sqlite');
  const before = readFileSync(real);
  const port = `virtual:${join(folder, 'rack.json')}`;
  const flashed = await done('flash', plan, '--port', port, '--at', '2022-03-20 10:00', '--yes');
  expect(flashed.err).toMatch(/entries of the grow book went along into .*rack\.virtual\.archive\.sqlite/);
  const noted = await done('note', plan, 'A-2', 'while', 'practising');
  expect(noted.out).toContain('Kept: 2022-03-20  early-02 (A-2)  while practising');
  expect(await texts()).toEqual(['before', 'while practising']);
  expect(readFileSync(real).equals(before)).toBe(true);
  expect(readdirSync(join(folder, 'rack.virtual.photos'))).toEqual(readdirSync(join(folder, 'rack.photos')));
  // Once a real controller was flashed, its archive is the one that is meant.
  await withArchive(real, 0, (archive) => rememberController(archive, 7, 'rack/pantry', 0));
  await done('note', plan, 'A-1', 'in', 'earnest', '--day', '2022-03-02');
  expect(await texts()).toEqual(['before', 'in earnest']);
});
