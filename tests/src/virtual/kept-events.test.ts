/** What is made to happen to a virtual controller outlasts the command that asked for it. */

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { openVirtual, type prepare, virtualPort } from '../../../src/virtual/port.ts';

let folder: string;
beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-kept-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

const CONTEXT = { timezone: 'Europe/Lisbon' };
const AT = { at: '2026-04-13 08:00' };

/** Opens, lets happen, saves; gives whether the power was on at the end, and what was remarked. */
async function command(
  file: string,
  options: Parameters<typeof prepare>[1],
): Promise<{ powered: boolean; remarks: readonly string[] }> {
  const port = await virtualPort(`virtual:${file}`, file, options, CONTEXT);
  const remarks = port.remarks();
  port.finish();
  const opened = await openVirtual(file, {}, CONTEXT);
  opened.release();
  return { powered: opened.world.device.powered, remarks };
}

it('a power cut that outlasts the command ends when its time comes', async () => {
  const file = join(folder, 'cut.json');
  const cut = await command(file, { ...AT, event: ['+10min cut 2h'], advance: '30min' });
  expect(cut).toEqual({ powered: false, remarks: ["'+10min cut 2h' goes on until 2026-04-13 10:10."] });
  expect((await command(file, { advance: '99min' })).powered).toBe(false);
  expect(await command(file, { advance: '2min' })).toEqual({ powered: true, remarks: [] });
});

it('an event that was not reached is still to come', async () => {
  const file = join(folder, 'later.json');
  const first = await command(file, { ...AT, event: ['2026-04-15 18:00 cut 1h'], advance: '1d' });
  expect(first.remarks).toEqual(["Still to come on 2026-04-15 18:00: '2026-04-15 18:00 cut 1h'."]);
  expect((await command(file, { advance: '1d' })).powered).toBe(true);
  expect((await command(file, { advance: '10h 30min' })).powered).toBe(false);
  expect((await command(file, { advance: '1h' })).powered).toBe(true);
});

it('without a file it did not happen, and is said so', async () => {
  const port = await virtualPort('virtual', '', { ...AT, event: ['+2h press'], advance: '1h' }, CONTEXT);
  expect(port.remarks()).toEqual(["Not reached yet, so it did not happen: '+2h press'."]);
  port.finish();
});

it('a file from before events were kept is read, one whose events are none is not', async () => {
  const file = join(folder, 'old.json');
  await command(file, AT);
  const { coming: _, ...old } = JSON.parse(readFileSync(file, 'utf8'));
  writeFileSync(file, JSON.stringify(old));
  expect((await command(file, {})).powered).toBe(true);
  writeFileSync(file, JSON.stringify({ ...old, coming: [{ text: 1 }] }));
  await expect(command(file, {})).rejects.toThrow('is not a virtual controller');
});
