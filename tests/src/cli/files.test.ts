import { spawn } from 'node:child_process';
import {
  chmodSync,
  existsSync,
  lstatSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { hostname, tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { readBytes, writeFileSafely } from '../../../src/files/files.ts';
import { lockFile } from '../../../src/files/lock.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

describe('writing files', () => {
  it('replaces the whole file, keeps its rights, leaves nothing beside it', () => {
    const path = join(folder, 'plan.yaml');
    writeFileSync(path, 'old');
    chmodSync(path, 0o640);
    writeFileSafely(path, 'new');
    expect(readFileSync(path, 'utf8')).toBe('new');
    expect(statSync(path).mode & 0o777).toBe(0o640);
    expect(readdirSync(folder)).toEqual(['plan.yaml']);
  });

  it('replaces what a link points to, not the link', () => {
    const real = join(folder, 'real.yaml');
    const link = join(folder, 'plan.yaml');
    writeFileSync(real, 'old');
    symlinkSync(real, link);
    writeFileSafely(link, 'new');
    expect(readFileSync(real, 'utf8')).toBe('new');
    expect(lstatSync(link).isSymbolicLink()).toBe(true);
  });

  it('writes text in UTF-8, and bytes as they are', () => {
    writeFileSafely(join(folder, 'text'), 'Grün\n');
    expect(readFileSync(join(folder, 'text'))).toEqual(Buffer.from('Grün\n', 'utf8'));
    const bytes = Uint8Array.from({ length: 70_000 }, (_, at) => at % 251);
    writeFileSafely(join(folder, 'bytes'), bytes);
    expect(readBytes(join(folder, 'bytes'))).toEqual(Buffer.from(bytes));
  });

  it('says in words what cannot be read or written', () => {
    expect(() => readBytes(join(folder, 'none.yaml'))).toThrow(/There is no file .*none\.yaml/);
    expect(() => readBytes(folder)).toThrow(/is a folder/);
    expect(() => writeFileSafely(join(folder, 'no', 'plan.yaml'), '')).toThrow(/There is no folder/);
  });
});

describe('locking a file', () => {
  const path = () => join(folder, 'rack.json');

  it('lets one in at a time', () => {
    const release = lockFile(path());
    expect(() => lockFile(path())).toThrow(/in use by another command \(process \d+/);
    release();
    lockFile(path())();
    expect(readdirSync(folder)).toEqual([]);
  });

  it('takes over the lock of a process that is gone', () => {
    // 2^22 + 1 is beyond the greatest process number of Linux (PID_MAX_LIMIT, proc(5)).
    const dead = { host: hostname(), pid: 4_194_305, began: '1' };
    writeFileSync(`${path()}.lock`, JSON.stringify(dead));
    lockFile(path())();
    expect(existsSync(`${path()}.lock`)).toBe(false);
  });

  it('takes over the lock of an earlier process of the same number', () => {
    const earlier = { host: hostname(), pid: process.pid, began: 'before' };
    writeFileSync(`${path()}.lock`, JSON.stringify(earlier));
    lockFile(path())();
  });

  it('waits for a lock made this moment to be filled, and takes it over when it is not', () => {
    const lock = `${path()}.lock`;
    writeFileSync(lock, '');
    const young = Date.now() / 1000 - 1.8;
    utimesSync(lock, young, young);
    lockFile(path())();
    expect(existsSync(lock)).toBe(false);
  });

  it('respects a lock that is filled a moment after it was made', () => {
    const lock = `${path()}.lock`;
    writeFileSync(lock, '');
    const holder = JSON.stringify({ host: 'elsewhere', pid: 1, began: '1' });
    spawn('sh', ['-c', 'sleep 0.2; printf %s "$1" >"$2"', 'sh', holder, lock]);
    expect(() => lockFile(path())).toThrow(/on elsewhere/);
  });

  it('respects a lock from another computer', () => {
    writeFileSync(`${path()}.lock`, JSON.stringify({ host: 'elsewhere', pid: 1, began: '1' }));
    expect(() => lockFile(path())).toThrow(/on elsewhere/);
  });
});
