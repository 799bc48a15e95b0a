/** Files that are replaced, and locks: whole or untouched, one at a time. */

import {
  appendFileSync,
  existsSync,
  lstatSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  rmSync,
  statSync,
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it, vi } from 'vitest';
import { Failure } from '../../../src/failure.ts';
import { fileFailure, makeFolder, replaceFile, writeFileSafely } from '../../../src/files/files.ts';
import { lockFile, whileLocked } from '../../../src/files/lock.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-write-'));
afterAll(() => rmSync(folder, { recursive: true, force: true }));
const at = (name: string): string => join(folder, name);
const fill = (text: string) => async (beside: string) => writeFileSync(beside, text);

describe('a file that is filled piece by piece', () => {
  it('replaces what a link points to, never the link', async () => {
    writeFileSync(at('real.csv'), 'old');
    symlinkSync('real.csv', at('link.csv'));
    await replaceFile(at('link.csv'), fill('new'));
    expect(lstatSync(at('link.csv')).isSymbolicLink()).toBe(true);
    expect(readFileSync(at('real.csv'), 'utf8')).toBe('new');
  });

  it('filled four times at once is one of the four, whole', async () => {
    const texts = ['a', 'b', 'c', 'd'].map((sign) => sign.repeat(5000));
    const slowly = (text: string) => async (beside: string) => {
      for (let i = 0; i < text.length; i += 1000) {
        appendFileSync(beside, text.slice(i, i + 1000));
        await new Promise((resolve) => setTimeout(resolve, 1));
      }
    };
    await Promise.all(texts.map((text) => replaceFile(at('four.csv'), slowly(text))));
    expect(texts).toContain(readFileSync(at('four.csv'), 'utf8'));
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });

  it('stays as it was when filling it fails, and leaves nothing beside', async () => {
    writeFileSync(at('kept.csv'), 'old');
    const ours = new TypeError('ours');
    const fails = replaceFile(at('kept.csv'), async (beside) => {
      writeFileSync(beside, 'half');
      throw ours;
    });
    await expect(fails).rejects.toBe(ours);
    const full = Object.assign(new Error('no space'), { code: 'ENOSPC' });
    const words = replaceFile(at('kept.csv'), async () => Promise.reject(full));
    await expect(words).rejects.toThrow(/disk is full/);
    await expect(replaceFile(at('none/x.csv'), fill(''))).rejects.toBeInstanceOf(Failure);
    expect(readFileSync(at('kept.csv'), 'utf8')).toBe('old');
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  });
});

describe('a file that cannot take its place', () => {
  it('is told, and nothing of it is left beside', () => {
    mkdirSync(at('taken/below'), { recursive: true });
    expect(() => writeFileSafely(at('taken'), 'text')).toThrow(/taken is a folder, not a file/);
    expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
    expect(readdirSync(at('taken'))).toEqual(['below']);
  });
});

describe('who may read and write a file', () => {
  const rights = (name: string): number => statSync(at(name)).mode & 0o777;
  const all = 0o666 & ~process.umask();

  it('is as the system has it for a new one, or as was asked; of an old one it stays', async () => {
    writeFileSafely(at('new'), '');
    expect(rights('new')).toBe(all);
    writeFileSafely(at('own'), 'a', 0o600);
    expect(rights('own')).toBe(0o600);
    writeFileSafely(at('own'), 'b');
    expect(rights('own')).toBe(0o600);
    await replaceFile(at('own'), fill('c'));
    expect(rights('own')).toBe(0o600);
    await replaceFile(at('piece'), fill('c'));
    expect(rights('piece')).toBe(all);
  });
});

describe('a folder', () => {
  it('is made with those above it, and left as it is where it is there', () => {
    makeFolder(at('one/two/three'));
    writeFileSync(at('one/two/three/file'), 'kept');
    makeFolder(at('one/two/three'));
    makeFolder(at('one'));
    expect(readFileSync(at('one/two/three/file'), 'utf8')).toBe('kept');
  });

  it('that cannot be says so: a file in its place, a name too long, a system that makes none', () => {
    writeFileSync(at('plain'), 'kept');
    expect(() => makeFolder(at('plain'))).toThrow(/plain is a file, not a folder/);
    expect(() => makeFolder(at('plain/below'))).toThrow(/plain is a file, not a folder/);
    expect(readFileSync(at('plain'), 'utf8')).toBe('kept');
    expect(() => makeFolder(at('x'.repeat(300)))).toThrow(/name is too long/);
    expect(() => writeFileSafely(at('x'.repeat(300)), 'x')).toThrow(/name is too long/);
    if (process.platform === 'linux')
      expect(() => makeFolder('/proc/leanward/x')).toThrow(/\/proc\/leanward cannot be made there/);
  });
});

describe('a fault of the file system is a sentence', () => {
  const words = (code: string, done: 'read' | 'written'): string =>
    fileFailure(Object.assign(new Error('x'), { code }), '/rack/plan', done).message;
  it.each([
    ['ENOENT', 'read', 'There is no file /rack/plan.'],
    ['ENOENT', 'written', 'There is no folder /rack.'],
    ['ENOTDIR', 'read', 'There is no file /rack/plan.'],
    ['EACCES', 'read', '/rack/plan may not be read by you.'],
    ['EPERM', 'written', '/rack/plan may not be written by you.'],
    ['EROFS', 'written', '/rack/plan may not be written by you.'],
    ['EISDIR', 'read', '/rack/plan is a folder, not a file.'],
    ['ENOSPC', 'written', 'The disk is full: /rack/plan was not written; the old file is untouched.'],
    ['EDQUOT', 'written', 'The disk is full: /rack/plan was not written; the old file is untouched.'],
    ['ENAMETOOLONG', 'written', 'That name is too long for this computer.'],
    ['EIO', 'read', '/rack/plan could not be read (EIO).'],
  ] as const)('%s, %s', (code, done, sentence) => expect(words(code, done)).toBe(sentence));

  it('and one that is a sentence already stays', () => {
    const ours = new Failure('usage', 'As it is.');
    expect(fileFailure(ours, 'x', 'read')).toBe(ours);
    expect(fileFailure('odd', 'x', 'read').message).toBe('x could not be read (odd).');
    expect(fileFailure(undefined, 'x', 'read').message).toBe('x could not be read (undefined).');
    // Other errors number what happened: not a code of the system's.
    const numbered = Object.assign(new Error('odd'), { code: 5 });
    expect(fileFailure(numbered, 'x', 'read').message).toBe('x could not be read (Error: odd).');
  });
});

describe('a lock', () => {
  it('that another command keeps is waited for; what fails under it gives it free', async () => {
    const unlock = lockFile(at('kept'));
    let ran = false;
    const waiting = whileLocked(at('kept'), async () => {
      ran = true;
    });
    await new Promise((resolve) => setTimeout(resolve, 120));
    expect(ran).toBe(false);
    unlock();
    await waiting;
    expect(ran).toBe(true);
    const ours = new TypeError('ours');
    await expect(whileLocked(at('kept'), () => Promise.reject(ours))).rejects.toBe(ours);
    expect(existsSync(at('kept.lock'))).toBe(false);
  });

  it('that somebody removed meanwhile, as its words say one may, is free', () => {
    const unlock = lockFile(at('removed'));
    rmSync(at('removed.lock'));
    unlock();
    lockFile(at('removed'))();
  });

  it('that cannot be made is told at once, in words', async () => {
    const waits = vi.spyOn(globalThis, 'setTimeout');
    await expect(whileLocked(at('none/plan'), async () => undefined)).rejects.toThrow(/no folder/);
    expect(waits).not.toHaveBeenCalled();
    waits.mockRestore();
  });

  it('that another command keeps for ten seconds is waited for no longer', async () => {
    const unlock = lockFile(at('long'));
    const now = performance.now.bind(performance);
    let passed = 0;
    const clock = vi.spyOn(performance, 'now').mockImplementation(() => now() + 10_001 * passed++);
    await expect(whileLocked(at('long'), async () => undefined)).rejects.toThrow(/in use by another command/);
    clock.mockRestore();
    unlock();
  });

  it.each([
    ...['null', '5', '"rack"', '{}', '[1, 2', '{"host":"elsewhere"}', '{"host":"elsewhere","pid":1}'],
    ...['{"host":"elsewhere","pid":"1","began":"1"}', '{"host":1,"pid":1,"began":"1"}'],
  ])('that says of nobody that he has it, %s, is taken over', (contents) => {
    writeFileSync(at('d.lock'), contents);
    utimesSync(at('d.lock'), 0, 0);
    lockFile(at('d'))();
    expect(existsSync(at('d.lock'))).toBe(false);
  });

  it('of a program that is gone, which cannot be taken away, is told in words', () => {
    writeFileSync(at('c.lock'), '');
    utimesSync(at('c.lock'), 0, 0);
    // The name that it would have for the moment is taken, as in a folder where nothing may be renamed.
    mkdirSync(at(`c.lock.${process.pid}.tmp`));
    expect(() => lockFile(at('c'))).toThrow(Failure);
    expect(existsSync(at('c.lock'))).toBe(true);
  });

  it('is waited for, so that what is done under it comes one after the other', async () => {
    let inside = 0;
    const order: number[] = [];
    const one = (n: number) =>
      whileLocked(at('plan'), async () => {
        expect(++inside).toBe(1);
        await new Promise((resolve) => setTimeout(resolve, 20));
        order.push(n);
        inside--;
      });
    await Promise.all([1, 2, 3, 4].map(one));
    expect(order.sort()).toEqual([1, 2, 3, 4]);
    expect(existsSync(at('plan.lock'))).toBe(false);
  });

  it('that is empty and old is taken over; that is a folder is told', () => {
    writeFileSync(at('a.lock'), '');
    utimesSync(at('a.lock'), 0, 0);
    const unlock = lockFile(at('a'));
    // Whoever took it over has it, and nothing of the old one is left.
    expect(() => lockFile(at('a'))).toThrow(new RegExp(`in use by another command .process ${process.pid} `));
    expect(readdirSync(folder).filter((name) => name.startsWith('a.lock'))).toEqual(['a.lock']);
    unlock();
    mkdirSync(at('b.lock'));
    utimesSync(at('b.lock'), 0, 0);
    expect(() => lockFile(at('b'))).toThrow(/there is a folder .*b\.lock in the way/);
  });
});
