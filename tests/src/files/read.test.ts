/** Files that a plan names: plain ones beside it, and nothing else, however it is written. */

import { execFileSync } from 'node:child_process';
import { mkdirSync, mkdtempSync, rmSync, symlinkSync, truncateSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, describe, expect, it } from 'vitest';
import { readBytes, readPlainFile } from '../../../src/files/files.ts';
import { photometryFor } from '../../../src/jobs/plan-file.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

const root = mkdtempSync(join(tmpdir(), 'leanward-read-'));
const folder = join(root, 'plans');
mkdirSync(join(folder, 'lamps'), { recursive: true });
writeFileSync(join(root, 'outside.ies'), 'outside');
writeFileSync(join(folder, 'strip.ies'), 'strip');
writeFileSync(join(folder, 'lamps/spot.ies'), 'spot');
writeFileSync(join(folder, '..odd.ies'), 'odd');
writeFileSync(join(folder, 'large.ies'), Buffer.alloc(2000));
symlinkSync(join(root, 'outside.ies'), join(folder, 'link.ies'));
symlinkSync('strip.ies', join(folder, 'near.ies'));
writeFileSync(join(folder, 'bar.csv'), '450;1');
writeFileSync(join(folder, 'bar.key'), '450;1');
execFileSync('mkfifo', [join(folder, 'pipe.ies')]);
afterAll(() => rmSync(root, { recursive: true, force: true }));

describe('a file that a plan names', () => {
  it.each([
    ['strip.ies', 'strip'],
    ['lamps/spot.ies', 'spot'],
    ['near.ies', 'strip'],
    ['..odd.ies', 'odd'],
  ])('is read beside the plan or below: %s', (name, text) => {
    expect(Buffer.from(readPlainFile(folder, name, 1000) ?? []).toString()).toBe(text);
  });

  it.each([
    ...[
      'none.ies',
      '../outside.ies',
      'link.ies',
      '/dev/zero',
      '/etc/hostname',
      'pipe.ies',
      'lamps',
      'large.ies',
    ],
    ...['', '.', '..', 'strip.ies/x', 'a\0b'],
  ])('is none otherwise: %j', (name) => {
    expect(readPlainFile(folder, name, 1000)).toBeUndefined();
  });

  it('may be as large as is allowed, and not a byte larger', () => {
    expect(readPlainFile(folder, 'strip.ies', 5)?.length).toBe(5);
    expect(readPlainFile(folder, 'strip.ies', 4)).toBeUndefined();
  });

  it('is left out where it is none, so that the finding tells', () => {
    const plan = samplePlan('smallest').replace('front: { beside', 'front: { photometry: pipe.ies, beside');
    expect(photometryFor(Buffer.from(plan), join(folder, 'rack.plan.yaml'), BOARDS)).toEqual({});
  });
});

describe('a spectrum that a plan names', () => {
  const files = (name: string) => {
    const named = `front: { spectrum: ${name}, beside`;
    const plan = samplePlan('smallest').replace('front: { beside', named);
    return photometryFor(Buffer.from(plan), join(folder, 'rack.plan.yaml'), BOARDS);
  };
  it('is read as photometric files are, and none of another ending', () => {
    expect(files('bar.csv')).toEqual({ 'bar.csv': '450;1' });
    for (const name of ['none.csv', '../outside.ies', 'link.ies', 'pipe.ies', 'bar.key'])
      expect(files(name)).toEqual({});
  });
});

describe('a file that the grower names', () => {
  it('that has no end is not read for ever', () => {
    expect(() => readBytes('/dev/zero')).toThrow(/larger than 64 MB, or has no end/);
  });
  it('may be of 64 MB, and not a byte larger', () => {
    const path = join(folder, 'large');
    writeFileSync(path, '');
    truncateSync(path, 64 * 1_048_576);
    expect(readBytes(path).length).toBe(64 * 1_048_576);
    truncateSync(path, 64 * 1_048_576 + 1);
    expect(() => readBytes(path)).toThrow(/larger than 64 MB/);
    rmSync(path);
  });
  it('may be of any size below', () => {
    writeFileSync(join(folder, 'some'), Buffer.alloc(200_000, 7));
    expect(readBytes(join(folder, 'some')).length).toBe(200_000);
    expect(readBytes(join(folder, 'some'))[199_999]).toBe(7);
  });
});
