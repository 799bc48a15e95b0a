/**
 * Kill -9 while records are being added, again and again at random moments: what
 * was said to be in is in, nothing is there twice, and the next reading goes on.
 */

import { spawn } from 'node:child_process';
import { join } from 'node:path';
import { expect } from 'vitest';
import { appendRecords, newestSequence } from '../../../src/archive/append.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { openArchive } from '../../../src/archive/open.ts';
import { readRecords } from '../../../src/archive/read.ts';
import { raw, record } from './records.ts';

/** More records than any run gets to before it is killed. */
const LAST = 200_000;

/** A repeatable pseudo-random number in [0, 1) (mulberry32, public domain). */
function random(seed: number): number {
  let t = (seed + 0x6d2b79f5) | 0;
  t = Math.imul(t ^ (t >>> 15), t | 1);
  t ^= t + Math.imul(t ^ (t >>> 7), t | 61);
  return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32;
}

/** Runs the program and kills it some time after its first block; gives the last number it said was in. */
function runAndKill(program: string, file: string, delayMs: number): Promise<number> {
  return new Promise((resolve, reject) => {
    const child = spawn(process.execPath, [program, file, '7', String(LAST)], {
      stdio: ['ignore', 'pipe', 'pipe'],
    });
    let said = '';
    let complaints = '';
    child.stdout.on('data', (chunk: Buffer) => {
      if (said === '') setTimeout(() => child.kill('SIGKILL'), delayMs);
      said += chunk.toString();
    });
    child.stderr.on('data', (chunk: Buffer) => {
      complaints += chunk.toString();
    });
    child.on('close', (_, signal) => {
      const lines = said.split('\n').slice(0, -1);
      if (signal === 'SIGKILL') resolve(Number(lines.at(-1) ?? 0));
      else reject(new Error(`ended by itself: ${complaints}`));
    });
  });
}

/** Kills the program on one archive again and again, then looks at everything in it. */
async function lane(program: string, file: string, kills: number, seed: number): Promise<void> {
  let promised = 0;
  for (let kill = 0; kill < kills; kill++) {
    promised = Math.max(promised, await runAndKill(program, file, random(seed + kill) * 12));
    if (kill % 10 !== 9) continue;
    const archive = await openArchive(file, 0);
    expect(await newestSequence(archive, 7), `after kill ${kill}`).toBeGreaterThanOrEqual(promised);
    expect(await gapsOf(archive, 7)).toEqual([]);
    await archive.close();
  }
  const archive = await openArchive(file, 0);
  const newest = await newestSequence(archive, 7);
  await appendRecords(archive, 7, raw(newest + 1, newest + 15), 0);
  let next = 1;
  for await (const found of readRecords(archive, 7)) {
    expect(found).toEqual(record(next));
    next += 1;
  }
  expect(next - 1).toBe(newest + 15);
  expect(await gapsOf(archive, 7)).toEqual([]);
  await archive.close();
}

/** Two programs, each killed `kills / 2` times on an archive of its own in `folder`; throws where a promise was broken. */
export async function killAgainAndAgain(program: string, folder: string, kills: number): Promise<void> {
  const lanes = [0, 1].map((i) => lane(program, join(folder, `lane-${i}.sqlite`), kills / 2, 1000 * i));
  await Promise.all(lanes);
}
