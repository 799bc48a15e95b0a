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
  symlinkSync,
  utimesSync,
  writeFileSync,
} from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { Failure } from '../../../src/failure.ts';
import { replaceFile } from '../../../src/files/files.ts';
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

describe('a lock', () => {
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
    lockFile(at('a'))();
    mkdirSync(at('b.lock'));
    utimesSync(at('b.lock'), 0, 0);
    expect(() => lockFile(at('b'))).toThrow(/there is a folder .*b\.lock in the way/);
  });
});
