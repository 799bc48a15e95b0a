/** The exported files, read back by libraries that know nothing of ours. */

import { mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { ParquetReader } from '@dsnp/parquetjs';
import { parse } from 'csv-parse/sync';
import { asyncBufferFromFile, parquetReadObjects } from 'hyparquet';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { decodeRecord } from '../../../shared/log.ts';
import { appendRecords } from '../../../src/archive/append.ts';
import { exportRecords, formatOf } from '../../../src/archive/export.ts';
import { FLAT_COLUMNS } from '../../../src/archive/flat.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import { raw, record } from './records.ts';

const folder = mkdtempSync(join(tmpdir(), 'leanward-export-'));
let archive: Archive;
beforeAll(async () => {
  archive = await openArchive(join(folder, 'a.sqlite'), 0);
  await appendRecords(archive, 7, raw(1, 1200), 0);
  await appendRecords(archive, 4_000_000_001, raw(1, 3), 0);
});
afterAll(async () => {
  await archive.close();
  rmSync(folder, { recursive: true, force: true });
});

function expectSameAsArchive(rows: readonly { readonly controller: unknown; readonly raw: unknown }[]): void {
  expect(rows.length).toBe(1203);
  const ours = rows.filter((row) => Number(row.controller) === 7);
  const back = ours.map((row) => decodeRecord(Buffer.from(String(row.raw), 'hex')));
  expect(back).toEqual(ours.map((_, i) => record(i + 1)));
  expect(Number(rows.at(-1)?.controller)).toBe(4_000_000_001);
}

it('CSV comes back through csv-parse', async () => {
  const path = join(folder, 'log.csv');
  expect(await exportRecords(archive, 'csv', path)).toBe(1203);
  const text = readFileSync(path, 'utf8');
  const rows = parse(text, { columns: true }) as (Record<string, string> & {
    controller: string;
    raw: string;
  })[];
  expectSameAsArchive(rows);
  expect(Object.keys(itemAt(rows, 0))).toEqual(FLAT_COLUMNS.map(([name]) => name));
  expect(rows[0]).toMatchObject({
    record: 'proof',
    temperature_mean_c: '23.5',
    temperature_max_c: '',
    visit: '',
  });
  expect(rows[1]).toMatchObject({
    record: 'boot',
    cause: 'powerOn',
    outage_min: '95',
    time: '2026-02-16T02:00:00Z',
  });
  expect(rows[2]).toMatchObject({ visit: 'lift', outcome: 'done', late_min: '-20' });
  expect(text.startsWith('controller,sequence,record,')).toBe(true);
});

it('JSON lines come back line by line', async () => {
  const path = join(folder, 'log.jsonl');
  await exportRecords(archive, 'jsonl', path);
  const lines = readFileSync(path, 'utf8').trimEnd().split('\n');
  const rows = lines.map((line) => JSON.parse(line) as { controller: number; raw: string; fault?: string });
  expectSameAsArchive(rows);
  expect(rows[4]?.fault).toBe('clockStopped');
});

it('Parquet comes back through a reader of other hands too', async () => {
  const path = join(folder, 'other.parquet');
  await exportRecords(archive, 'parquet', path);
  const reader = await ParquetReader.openFile(path);
  const cursor = reader.getCursor();
  const rows: { controller: bigint; raw: string; fault: string | null }[] = [];
  for (let next = await cursor.next(); next; next = await cursor.next())
    rows.push(next as (typeof rows)[number]);
  await reader.close();
  expectSameAsArchive(rows);
  expect(rows[4]?.fault).toBe('clockStopped');
});

it('Parquet comes back through hyparquet, with its types', async () => {
  const path = join(folder, 'log.parquet');
  await exportRecords(archive, 'parquet', path);
  const rows = (await parquetReadObjects({ file: await asyncBufferFromFile(path) })) as {
    controller: bigint;
    raw: string;
    output_1_h: number | null;
    detail: bigint | null;
  }[];
  expectSameAsArchive(rows);
  expect(rows[6]?.output_1_h).toBe(12);
  expect(rows[4]?.detail).toBe(0xdeadbeefn);
  expect(rows[0]?.output_1_h ?? null).toBeNull();
});

it('one controller alone, and nothing half written', async () => {
  const path = join(folder, 'one.csv');
  expect(await exportRecords(archive, 'csv', path, 4_000_000_001)).toBe(3);
  await expect(exportRecords(archive, 'csv', join(folder, 'none', 'x.csv'))).rejects.toThrow();
  expect(readdirSync(folder).filter((name) => name.endsWith('.tmp'))).toEqual([]);
  expect(formatOf('a/LOG.CSV')).toBe('csv');
  expect(formatOf('log.xlsx')).toBeUndefined();
});
