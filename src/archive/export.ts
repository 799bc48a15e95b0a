/**
 * Writes the archive's records to a file that other tools read: CSV, JSON
 * lines or Parquet.
 *
 * Always holds: records come by controller, in order of sequence; memory does
 * not grow with the archive; the file appears under its name only when whole.
 */

import { createWriteStream } from 'node:fs';
import { Readable } from 'node:stream';
import { pipeline } from 'node:stream/promises';
import { stringify } from 'csv-stringify';
import { fileWriter, parquetWriteRows } from 'hyparquet-writer';
import { replaceFile } from '../files/files.ts';
import { FLAT_COLUMNS, type FlatRow, flatRow } from './flat.ts';
import type { Archive } from './open.ts';
import { controllersOf, readRecords } from './read.ts';

export const EXPORT_FORMATS = ['csv', 'jsonl', 'parquet'] as const;
export type ExportFormat = (typeof EXPORT_FORMATS)[number];

/** The format that a file's name asks for; undefined when it is none of ours. */
export function formatOf(path: string): ExportFormat | undefined {
  return EXPORT_FORMATS.find((format) => path.toLowerCase().endsWith(`.${format}`));
}

/**
 * Writes all records (of one controller when `identity` is given) to `path`.
 * Returns how many. An existing file is replaced.
 */
export async function exportRecords(
  archive: Archive,
  format: ExportFormat,
  path: string,
  identity?: number,
): Promise<number> {
  let count = 0;
  const rows = counted(rowsOf(archive, identity), () => {
    count += 1;
  });
  await replaceFile(path, (beside) => WRITERS[format](rows, beside));
  return count;
}

type RowWriter = (rows: AsyncIterable<FlatRow>, path: string) => Promise<void>;

const WRITERS: Readonly<Record<ExportFormat, RowWriter>> = {
  csv: writeCsv,
  jsonl: writeJsonLines,
  parquet: writeParquet,
};

const COLUMN_NAMES = FLAT_COLUMNS.map(([name]) => name);

async function writeCsv(rows: AsyncIterable<FlatRow>, path: string): Promise<void> {
  // RFC 4180 line ends; a header row always, even without records.
  const csv = stringify({ header: true, columns: COLUMN_NAMES, record_delimiter: 'windows' });
  await pipeline(Readable.from(rows), csv, createWriteStream(path));
}

async function writeJsonLines(rows: AsyncIterable<FlatRow>, path: string): Promise<void> {
  async function* lines(): AsyncGenerator<string> {
    for await (const row of rows) yield `${JSON.stringify(withoutNulls(row))}\n`;
  }
  await pipeline(Readable.from(lines()), createWriteStream(path));
}

function withoutNulls(row: FlatRow): FlatRow {
  return Object.fromEntries(Object.entries(row).filter(([, cell]) => cell !== null));
}

async function writeParquet(rows: AsyncIterable<FlatRow>, path: string): Promise<void> {
  const wide = FLAT_COLUMNS.filter(([, kind]) => kind === 'INT64').map(([name]) => name);
  async function* filled(): AsyncGenerator<Record<string, unknown>> {
    for await (const row of rows) {
      const full: Record<string, unknown> = {};
      for (const name of COLUMN_NAMES) full[name] = row[name] ?? null;
      for (const name of wide) if (typeof full[name] === 'number') full[name] = BigInt(full[name]);
      yield full;
    }
  }
  await parquetWriteRows({
    writer: fileWriter(path),
    rows: filled(),
    columns: FLAT_COLUMNS.map(([name, type]) => ({ name, type, nullable: true })),
    createdBy: 'Leanward',
  });
}

async function* rowsOf(archive: Archive, identity: number | undefined): AsyncGenerator<FlatRow> {
  for (const controller of await controllersOf(archive)) {
    if (identity !== undefined && controller.identity !== identity) continue;
    for await (const record of readRecords(archive, controller.identity)) {
      yield flatRow(controller.identity, record);
    }
  }
}

async function* counted<T>(rows: AsyncIterable<T>, count: () => void): AsyncGenerator<T> {
  for await (const row of rows) {
    count();
    yield row;
  }
}
