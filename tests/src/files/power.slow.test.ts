/**
 * A file is on the disk before it takes the old one's place, and the place before
 * all is said to be done. Only a power cut of the computer would show that it is
 * not; so the calls themselves are looked at, as fsync(2) and rename(2) have it.
 */

import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { dirname, join } from 'node:path';
import { afterAll, beforeEach, expect, it, vi } from 'vitest';
import { replaceFile, writeFileSafely } from '../../../src/files/files.ts';

const calls = vi.hoisted((): string[] => []);
vi.mock('node:fs', async (original) => {
  const fs = await original<typeof import('node:fs')>();
  const names = new Map<number, string>();
  return {
    ...fs,
    openSync: (...[path, ...more]: Parameters<typeof fs.openSync>) => {
      const handle = fs.openSync(path, ...more);
      names.set(handle, String(path));
      return handle;
    },
    fsyncSync: (handle: number) => {
      calls.push(`sync ${names.get(handle)}`);
      fs.fsyncSync(handle);
    },
    renameSync: (from: string, to: string) => {
      calls.push(`rename ${from}`);
      fs.renameSync(from, to);
    },
  };
});

const folder = mkdtempSync(join(tmpdir(), 'leanward-power-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const path = join(folder, 'rack.plan.yaml');
beforeEach(() => {
  calls.length = 0;
});

const WAYS: Readonly<Record<string, () => unknown>> = {
  'written whole': () => writeFileSafely(path, 'new'),
  'written piece by piece': () => replaceFile(path, async (beside) => writeFileSync(beside, 'new')),
};

it.each(Object.entries(WAYS))('a file %s', async (_, write) => {
  await write();
  const beside = calls[0]?.replace(/^sync /, '') ?? '';
  expect(dirname(beside)).toBe(folder);
  expect(beside).not.toBe(path);
  expect(calls).toEqual([`sync ${beside}`, `rename ${beside}`, `sync ${folder}`]);
});
