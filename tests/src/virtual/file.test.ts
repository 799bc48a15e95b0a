/** The file of a virtual controller tells when it is no longer what was written. */

import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, expect, it } from 'vitest';
import { Failure } from '../../../src/failure.ts';
import { readVirtualFile, writeVirtualFile } from '../../../src/virtual/file.ts';
import { startedDevice } from '../../firmware-sim/controller/host.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-virtual-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const place = join(folder, 'rack.json');

it('comes back as it was written; with a byte flipped it is refused in words', () => {
  const kept = { board: 'mega328-relay8', timezone: 'UTC', image: startedDevice().save(), coming: [] };
  writeVirtualFile(place, kept);
  expect(readVirtualFile(place)).toEqual(JSON.parse(JSON.stringify(kept)));
  const bytes = readFileSync(place);
  for (let at = 0; at < bytes.length - 1; at += 97) {
    const flipped = Buffer.from(bytes);
    flipped[at] = (flipped[at] ?? 0) ^ 4;
    writeFileSync(place, flipped);
    expect(() => readVirtualFile(place), `byte ${at}`).toThrow(Failure);
  }
});

it('of an earlier release, without a check, is still read', () => {
  writeVirtualFile(place, {
    board: 'mega328-relay8',
    timezone: 'UTC',
    image: startedDevice().save(),
    coming: [],
  });
  writeFileSync(place, readFileSync(place, 'utf8').replace(/"check":\d+,/, ''));
  expect(readVirtualFile(place)?.board).toBe('mega328-relay8');
});
