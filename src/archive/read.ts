/**
 * Reads records back out of the archive, in the order the controller wrote them.
 *
 * Always holds: work is in proportion to the records asked for, not to the
 * archive's size; a row whose bytes no longer pass their check is reported as
 * damage of the archive, never decoded.
 */

import { sure } from '../../shared/assert.ts';
import { decodeRecord, type LogRecord } from '../../shared/log.ts';
import type { CivilDay } from '../../shared/units.ts';
import { ArchiveError } from './error.ts';
import type { Archive } from './open.ts';

const PAGE = 5_000;

/** Which records; left out means from the first, to the last. Both ends included. */
export interface RecordRange {
  readonly fromSequence?: number;
  readonly toSequence?: number;
}

/** The records of one controller in order of sequence, a page at a time. */
export async function* readRecords(
  archive: Archive,
  identity: number,
  range: RecordRange = {},
): AsyncGenerator<LogRecord> {
  let next = range.fromSequence ?? 1;
  const last = range.toSequence ?? Number.MAX_SAFE_INTEGER;
  for (;;) {
    const rows = await archive.db
      .selectFrom('records')
      .select(['sequence', 'raw'])
      .where('identity', '=', identity)
      .where('sequence', '>=', next)
      .where('sequence', '<=', Math.min(last, 0xffffff))
      .orderBy('sequence')
      .limit(PAGE)
      .execute();
    for (const row of rows) yield recordKept(archive.place, identity, row.sequence, row.raw);
    if (rows.length < PAGE) return;
    next = sure(rows.at(-1)).sequence + 1;
  }
}

/**
 * The record that a row of the archive at `place` holds.
 * @throws ArchiveError 'damaged' where its bytes are none, or those of another record.
 */
export function recordKept(place: string, identity: number, sequence: number, raw: unknown): LogRecord {
  // A damaged SQLite file may give text or a number where bytes were written.
  const record = raw instanceof Uint8Array ? decodeRecord(raw) : undefined;
  if (record === undefined || record.sequence !== sequence) {
    throw new ArchiveError(
      'damaged',
      `Record ${sequence} of controller ${identity} in ${place} is damaged.`,
      'Put a copy of the archive back.',
    );
  }
  return record;
}

/**
 * The sequence number from which a look at `day` and later must read: the
 * first record of that day or later, whatever the clock did before.
 * Undefined when there is none.
 */
export async function firstSequenceFrom(
  archive: Archive,
  identity: number,
  day: CivilDay,
): Promise<number | undefined> {
  // By day first: the index then holds the answer within the first day that has one.
  const row = await archive.db
    .selectFrom('records')
    .select((e) => e.fn.min('sequence').as('sequence'))
    .where('identity', '=', identity)
    .where('day', '>=', day)
    .where('day', '<', day + 2)
    .executeTakeFirst();
  if (row?.sequence !== null && row?.sequence !== undefined) return Number(row.sequence);
  const later = await archive.db
    .selectFrom('records')
    .select('sequence')
    .where('identity', '=', identity)
    .where('day', '>=', day)
    .orderBy('day')
    .orderBy('sequence')
    .limit(1)
    .executeTakeFirst();
  return later?.sequence;
}

/** The newest committed, confirmed or reverted records before a sequence number, newest first. */
export async function tableRecordsBefore(
  archive: Archive,
  identity: number,
  sequence: number,
  count: number,
): Promise<LogRecord[]> {
  const rows = await archive.db
    .selectFrom('records')
    .select(['sequence', 'raw'])
    .where('identity', '=', identity)
    .where('sequence', '<', sequence)
    .where('type', 'in', [10, 11, 12])
    .orderBy('sequence', 'desc')
    .limit(count)
    .execute();
  return rows.map((row) => recordKept(archive.place, identity, row.sequence, row.raw));
}

/** The controllers the archive knows. */
export async function controllersOf(
  archive: Archive,
): Promise<{ readonly identity: number; readonly name: string | null }[]> {
  return archive.db.selectFrom('controllers').select(['identity', 'name']).orderBy('identity').execute();
}
