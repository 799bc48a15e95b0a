/** What may be written over: nothing that is read, no plan, archive or virtual controller, nothing of others. */

import { mkdirSync, mkdtempSync, readFileSync, rmSync, symlinkSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { tableListing } from '../../../compiler/table/listing.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { checkOutputs } from '../../../src/files/outputs.ts';
import { html, page } from '../../../src/page/html.ts';
import { samplePlan } from '../../support/boards.ts';
import { emptyTable } from '../../support/empty-table.ts';

let folder: string;
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-'));
});
afterEach(() => rmSync(folder, { recursive: true, force: true }));

function file(name: string, contents: string | Uint8Array): string {
  const path = join(folder, name);
  writeFileSync(path, contents);
  return path;
}

const check = (path: string, force = false, read: string[] = []): void =>
  checkOutputs({ write: [path], read, force });

const TABLE = encodeTable(emptyTable(9500));

describe('a file that may be written', () => {
  it('is one that is not there, is empty, or that Leanward wrote', () => {
    const ours: Record<string, string | Uint8Array> = {
      'a.html': page('A page', html`<p>of ours</p>`),
      'a.ics': 'BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//Leanward//visits//EN\r\n',
      'a.trace': '2026-04-13T07:00:00Z pantry out ff.00.ff.00.00.00.00.00\n',
      'a.lst': tableListing('pantry', TABLE),
      'a.table': TABLE.bytes,
      'a.csv': 'controller,sequence,record,partial,estimated,day\r\n',
      'a.jsonl': '{"controller":1,"sequence":1,"record":"boot"}\n',
      'a.parquet': `PAR1${'x'.repeat(20_000)}created_by Leanward PAR1`,
      empty: '',
    };
    for (const [name, contents] of Object.entries(ours)) check(file(name, contents));
    check(join(folder, 'new.html'));
    check('/dev/null');
  });

  it("is one of somebody else's only when told so", () => {
    for (const contents of [
      'my notes',
      '<!doctype html>\n<title>mine</title>',
      'BEGIN:VCALENDAR\nPRODID:-//x',
    ]) {
      const path = file('own', contents);
      expect(() => check(path)).toThrow(/is there already, and Leanward did not write it/);
      check(path, true);
    }
  });
});

describe('a file that is never written over', () => {
  it('is a plan, an archive, a virtual controller, told or not', () => {
    const precious = {
      'rack.plan.yaml': samplePlan('pantry'),
      'rack.archive.sqlite': 'SQLite format 3\0and so on',
      'rack.json': '{"format":"leanward virtual controller","version":1}',
    };
    for (const [name, contents] of Object.entries(precious)) {
      const path = file(name, contents);
      for (const force of [false, true]) expect(() => check(path, force)).toThrow(/not written over/);
    }
  });

  it('is one that the command reads, by whatever name', () => {
    const path = file('lamp.ies', 'IESNA');
    const link = join(folder, 'other.html');
    symlinkSync(path, link);
    mkdirSync(join(folder, 'sub'));
    for (const name of [path, link, join(folder, 'sub', '..', 'lamp.ies')])
      expect(() => check(name, true, [path])).toThrow(/is read by this command/);
    expect(readFileSync(path, 'utf8')).toBe('IESNA');
  });

  it('is one that the same command writes for another purpose', () => {
    const path = join(folder, 'a.html');
    expect(() => checkOutputs({ write: [path, path], read: [], force: true })).toThrow(/Two different files/);
  });
});
