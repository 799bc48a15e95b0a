/** No file stays open: a desk that runs for months would have none left to open (Linux tells which are). */

import { mkdirSync, mkdtempSync, readdirSync, readlinkSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readBytes, readPlainFile, replaceFile, writeFileSafely } from '../../../src/files/files.ts';
import { lockFile } from '../../../src/files/lock.ts';
import { checkOutputs } from '../../../src/files/outputs.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-handles-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const path = join(folder, 'rack.plan.yaml');

/** What this program has open in the folder, and the folder itself. */
function openIn(): string[] {
  return readdirSync('/proc/self/fd').flatMap((number) => {
    try {
      const name = readlinkSync(`/proc/self/fd/${number}`);
      return name.startsWith(folder) ? [name] : [];
    } catch {
      return [];
    }
  });
}

const USES: Readonly<Record<string, () => unknown>> = {
  'a file written whole': () => writeFileSafely(path, 'new'),
  'a file written piece by piece': () => replaceFile(path, async (beside) => writeFileSync(beside, 'new')),
  'a file read': () => readBytes(path),
  'a file that a plan names': () => readPlainFile(folder, 'rack.plan.yaml', 1000),
  'a folder in place of such a file': () => readPlainFile(folder, 'sub', 1000),
  'a lock': () => lockFile(path)(),
  'a file that is about to be written': () =>
    checkOutputs({ write: [join(folder, 'other')], read: [path], force: true }),
};

describe.skipIf(process.platform !== 'linux')('nothing stays open of', () => {
  it.each(Object.entries(USES))('%s', async (_, use) => {
    mkdirSync(join(folder, 'sub'), { recursive: true });
    writeFileSync(path, 'old');
    writeFileSync(join(folder, 'other'), 'of somebody else');
    await use();
    expect(openIn()).toEqual([]);
  });
});
