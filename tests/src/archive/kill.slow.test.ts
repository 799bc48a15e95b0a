/** Two programs at once on one archive, and the first of the kills of `kill.long.test.ts`. */

import { spawn } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { newestSequence } from '../../../src/archive/append.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { openArchive } from '../../../src/archive/open.ts';
import { bundleProgram } from './bundle.ts';
import { killAgainAndAgain } from './killing.ts';

const KILLS = 20;

const folder = mkdtempSync(join(tmpdir(), 'leanward-kill-'));
let program = '';
beforeAll(async () => {
  program = await bundleProgram('tests/src/archive/appender.ts');
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Runs the program to its end; gives what it complained of when it failed. */
function runOut(file: string, last: number): Promise<string> {
  const child = spawn(process.execPath, [program, file, '7', String(last)], {
    stdio: ['ignore', 'ignore', 'pipe'],
  });
  let complaints = '';
  child.stderr.on('data', (chunk: Buffer) => {
    complaints += chunk.toString();
  });
  return new Promise((resolve) => child.once('close', (code) => resolve(code === 0 ? '' : complaints)));
}

it('two programs that read one controller at once make one archive', async () => {
  for (let round = 0; round < 4; round++) {
    const file = join(folder, `both-${round}.sqlite`);
    expect(await Promise.all([runOut(file, 300), runOut(file, 300)])).toEqual(['', '']);
    const archive = await openArchive(file, 0);
    expect(await newestSequence(archive, 7)).toBe(300);
    expect(await gapsOf(archive, 7)).toEqual([]);
    await archive.close();
  }
});

it(`loses and doubles nothing over ${KILLS} kills`, () => killAgainAndAgain(program, folder, KILLS));
