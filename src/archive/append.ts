/**
 * Puts what was read from a controller into the archive.
 *
 * Always holds: a call is one transaction, so a program killed in the middle
 * leaves either all of its records or none; a record that is there already is
 * not doubled; a record that contradicts one that is there refuses the whole
 * call; after each call the gaps list exactly the sequence numbers missing
 * between 1 and the newest.
 */

import type { Transaction } from 'kysely';
import { itemAt } from '../../shared/assert.ts';
import { decodeRecord, type LogRecord } from '../../shared/log.ts';
import { hex } from '../words/controller.ts';
import { ArchiveError } from './error.ts';
import { refreshGaps } from './gaps.ts';
import type { Archive } from './open.ts';
import { recordKept } from './read.ts';
import type { ArchiveTables, RecordRow } from './schema.ts';

const SECONDS_PER_DAY = 86_400;
/** SQLite allows 32,766 bound values in one statement; 9 a record. */
const RECORDS_PER_STATEMENT = 1_000;

/** What a call of `appendRecords` did. */
export interface Appended {
  readonly added: number;
  /** Were there already, byte for byte. */
  readonly known: number;
  /** Did not pass their check and were left out. */
  readonly damaged: number;
  /** Sequence numbers newly found missing (negative: an older gap was filled). */
  readonly lost: number;
  /** Newest sequence number now in the archive; 0 when there is none. */
  readonly newest: number;
}

/**
 * Adds raw 16-byte records of one controller. Order and repeats do not matter;
 * cells that are 0xFF throughout are empty and are passed over.
 * Throws ArchiveError `contradiction` when the archive holds other bytes under
 * the same number, and adds nothing then.
 */
export async function appendRecords(
  archive: Archive,
  identity: number,
  raw: readonly Uint8Array[],
  nowMs: number,
): Promise<Appended> {
  if (identity === 0) {
    throw new ArchiveError('contradiction', 'This controller has no identity yet.', 'Flash it first.');
  }
  const { rows, damaged } = rowsOf(identity, raw);
  return archive.db.transaction().execute(async (db) => {
    // Writing first takes the lock, so that two programs reading one controller take turns.
    await seen(db, identity, nowMs);
    const before = await stored(db, archive.place, identity, rows);
    refuseContradiction(identity, rows, before);
    const fresh = rows.filter((row) => !before.has(row.sequence));
    for (let i = 0; i < fresh.length; i += RECORDS_PER_STATEMENT) {
      await db
        .insertInto('records')
        .values(fresh.slice(i, i + RECORDS_PER_STATEMENT))
        .execute();
    }
    const lost = await refreshGaps(
      db,
      identity,
      fresh.map((row) => row.sequence),
      nowMs,
    );
    const newest = await newestIn(db, identity);
    return { added: fresh.length, known: rows.length - fresh.length, damaged, lost, newest };
  });
}

/** Notes that a controller exists, and its name in the plan when given. */
export async function rememberController(
  archive: Archive,
  identity: number,
  name: string,
  nowMs: number,
): Promise<void> {
  await archive.db
    .insertInto('controllers')
    .values({ identity, name, seen_ms: nowMs })
    .onConflict((c) => c.column('identity').doUpdateSet({ name, seen_ms: nowMs }))
    .execute();
}

/** The newest sequence number in the archive, 0 when there is none: reading goes on after it. */
export async function newestSequence(archive: Archive, identity: number): Promise<number> {
  return newestIn(archive.db, identity);
}

async function newestIn(db: Archive['db'], identity: number): Promise<number> {
  const row = await db
    .selectFrom('records')
    .select('sequence')
    .where('identity', '=', identity)
    .orderBy('sequence', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row?.sequence ?? 0;
}

async function seen(db: Transaction<ArchiveTables>, identity: number, nowMs: number): Promise<void> {
  await db
    .insertInto('controllers')
    .values({ identity, name: null, seen_ms: nowMs })
    .onConflict((c) => c.column('identity').doUpdateSet({ seen_ms: nowMs }))
    .execute();
}

function rowsOf(identity: number, raw: readonly Uint8Array[]): { rows: RecordRow[]; damaged: number } {
  const rows = new Map<number, RecordRow>();
  let damaged = 0;
  for (const bytes of raw) {
    if (bytes.every((byte) => byte === 0xff)) continue;
    const record = decodeRecord(bytes);
    if (record === undefined || record.sequence === 0) {
      damaged += 1;
      continue;
    }
    const row = rowOf(identity, bytes, record);
    const twin = rows.get(row.sequence);
    if (twin && !sameBytes(twin.raw, row.raw)) throw contradiction(identity, row.sequence);
    rows.set(row.sequence, row);
  }
  return { rows: [...rows.values()].sort((a, b) => a.sequence - b.sequence), damaged };
}

function rowOf(identity: number, bytes: Uint8Array, record: LogRecord): RecordRow {
  const { sequence, partial, estimated, ...body } = record;
  const utc = 'time' in record ? record.time : null;
  return {
    identity,
    sequence,
    raw: Buffer.from(bytes),
    type: itemAt(bytes, 3) & 0x3f,
    partial: partial ? 1 : 0,
    estimated: estimated ? 1 : 0,
    day: 'day' in record ? record.day : Math.floor(record.time / SECONDS_PER_DAY),
    utc_s: utc,
    body: JSON.stringify(body),
  };
}

async function stored(
  db: Transaction<ArchiveTables>,
  place: string,
  identity: number,
  rows: readonly RecordRow[],
): Promise<Map<number, Uint8Array>> {
  const first = rows[0];
  const last = rows.at(-1);
  if (!first || !last) return new Map();
  const found = await db
    .selectFrom('records')
    .select(['sequence', 'raw'])
    .where('identity', '=', identity)
    .where('sequence', '>=', first.sequence)
    .where('sequence', '<=', last.sequence)
    .execute();
  for (const { sequence, raw } of found) recordKept(place, identity, sequence, raw);
  return new Map(found.map((row) => [row.sequence, row.raw]));
}

function refuseContradiction(
  identity: number,
  rows: readonly RecordRow[],
  before: ReadonlyMap<number, Uint8Array>,
): void {
  for (const row of rows) {
    const old = before.get(row.sequence);
    if (old && !sameBytes(old, row.raw)) throw contradiction(identity, row.sequence);
  }
}

function contradiction(identity: number, sequence: number): ArchiveError {
  return anotherLog(identity, `its record ${sequence} is another than the one kept`);
}

/** The refusal of a log that is not the one whose beginning the archive holds; `why` tells how that shows. */
export function anotherLog(identity: number, why: string): ArchiveError {
  return new ArchiveError(
    'contradiction',
    `This is not the log that the archive holds of controller ${hex(identity, 8)}: ${why}. ` +
      'Its log memory was replaced, or two controllers carry the same identity number. Nothing was added.',
    'To go on, add --new-history to `leanward log`: this controller gets an identity number of its own, and its\n' +
      'log is kept beside the old one, which stays as it is.',
  );
}

function sameBytes(a: Uint8Array, b: Uint8Array): boolean {
  return Buffer.compare(a, b) === 0;
}
