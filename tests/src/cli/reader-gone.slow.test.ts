/** Readers that go away, and outputs that cannot be written: what was begun is finished, or its failure told. */

import { execFile } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { afterAll, expect, it } from 'vitest';
import { sure } from '../../../shared/assert.ts';
import { flashedTables } from '../../../src/archive/flashed.ts';
import { withArchive } from '../../../src/archive/open.ts';
import { controllersOf } from '../../../src/archive/read.ts';
import { jsonOf, leanward, PLANS } from './run.ts';

const LAUNCHER = fileURLToPath(new URL('../../../src/leanward.js', import.meta.url));
const folder = mkdtempSync(join(tmpdir(), 'leanward-reader-'));
const port = `virtual:${join(folder, 'rack.json')}`;
const PLAN = join(PLANS, 'smallest.plan.yaml');
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs words of the shell; `$LW` is the program. Gives what the last command printed. */
async function shell(words: string): Promise<string> {
  const env = {
    ...process.env,
    LW: `${process.execPath} ${LAUNCHER}`,
    PLAN,
    PORT: port,
    A: join(folder, 'a.sqlite'),
  };
  return (await promisify(execFile)('bash', ['-c', words], { env, cwd: folder })).stdout;
}

it('a flash whose reader has seen enough is finished', async () => {
  const out = await shell('$LW flash $PLAN --port $PORT --archive $A | head -1; echo $PIPESTATUS');
  expect(out).toMatch(/\n0\n$/);
  const status = jsonOf('status', (await leanward('status', '--port', port, '--json')).out);
  expect(status.table).toMatchObject({ sequence: 1 });
});

it('also when its remarks have no reader either', async () => {
  const out = await shell(
    '($LW flash $PLAN --port $PORT --archive $A; echo $? >code) 2>&1 | true; while [ ! -s code ]; do sleep 0.1; done; cat code',
  );
  expect(out).toBe('0\n');
  const status = jsonOf('status', (await leanward('status', '--port', port, '--json')).out);
  expect(status.table).toMatchObject({ sequence: 2 });
});

it('a plan that comes through a pipe is read once, and the archive keeps what was flashed', async () => {
  expect(await shell('$LW flash <(cat $PLAN) --port $PORT --archive pipe.sqlite >out; echo $?')).toBe('0\n');
  const texts = await withArchive(join(folder, 'pipe.sqlite'), 0, async (archive) => {
    const [controller] = await controllersOf(archive);
    return (await flashedTables(archive, sure(controller).identity)).map((one) => one.planText);
  });
  expect(texts).toEqual([readFileSync(PLAN, 'utf8')]);
});

it('an output that does not fit on the disk is told, and is no bug of ours', async () => {
  const out = await shell('$LW log --port $PORT --csv 2>&1 >/dev/full; echo $?');
  expect(out).toMatch(/The output could not be written \(ENOSPC\)/);
  expect(out).toMatch(/\n2\n$/);
});
