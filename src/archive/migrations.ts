/**
 * The steps that bring an archive from any older version to the present one.
 *
 * Always holds: a step that was released never changes; each runs whole or not
 * at all; the version table says which have run.
 */

import { type Kysely, sql, type Transaction } from 'kysely';
import { itemAt } from '../../shared/assert.ts';
import type { Archive } from './archive.ts';
import { ArchiveError, damaged } from './error.ts';
import type { ArchiveTables } from './schema.ts';

type Step = (db: Transaction<ArchiveTables>, bytes: 'blob' | 'bytea') => Promise<void>;

/** Step n brings version n to version n + 1. */
const STEPS: readonly Step[] = [firstTables, livesOfBags, flashesDone, daysOfWork];

/** The version this program writes. */
export const ARCHIVE_VERSION = STEPS.length;

/** Whether an archive can be used as it is. Asks without writing, so that who may only look can ask. */
export async function isUpToDate(archive: Archive): Promise<boolean> {
  try {
    return (await versionOf(archive.db)) === ARCHIVE_VERSION;
  } catch (error) {
    if (isNoSuchTable(error)) return false;
    throw error;
  }
}

/** Makes the tables of a new archive, or brings those of an older one up to date. Throws ArchiveError. */
export async function bringUpToDate(archive: Archive, bytes: 'blob' | 'bytea', nowMs: number): Promise<void> {
  const { db, place } = archive;
  await db.schema
    .createTable('schema_version')
    .ifNotExists()
    .addColumn('version', 'integer', (c) => c.primaryKey())
    .addColumn('applied_ms', 'bigint', (c) => c.notNull())
    .execute();
  const version = await versionOf(db);
  if (version > ARCHIVE_VERSION) throw newer(place, version);
  await migrate(archive, version, bytes, nowMs);
}

function newer(place: string, version: number): ArchiveError {
  return new ArchiveError(
    'newer',
    `The archive ${place} was written by a newer Leanward (archive version ${version}; ` +
      `this one knows ${ARCHIVE_VERSION}). Nothing was changed.`,
    'Update Leanward to use it.',
  );
}

function isNoSuchTable(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  // PostgreSQL's SQLSTATE, or SQLite's own words: its code for this is that of any fault in a statement.
  return ('code' in error && error.code === '42P01') || /no such table/.test(error.message);
}

/** The version an archive has; 0 when it was just made. */
async function versionOf(db: Kysely<ArchiveTables>): Promise<number> {
  const row = await db
    .selectFrom('schema_version')
    .select((e) => e.fn.max('version').as('version'))
    .executeTakeFirst();
  return Number(row?.version ?? 0);
}

/** Runs the steps from `version` on, each in its own transaction. */
async function migrate(
  { db, place }: Archive,
  version: number,
  bytes: 'blob' | 'bytea',
  nowMs: number,
): Promise<void> {
  for (let next = version; next < ARCHIVE_VERSION; next++) {
    try {
      await db.transaction().execute(async (step) => {
        // Written first, so that two programs that open a new archive at once take turns here.
        await step
          .insertInto('schema_version')
          .values({ version: next + 1, applied_ms: nowMs })
          .execute();
        await itemAt(STEPS, next)(step, bytes);
      });
    } catch (error) {
      if ((await versionOf(db)) > next) continue;
      // Tables without the row that says which they are: part of the archive was lost.
      throw isAlreadyThere(error) ? damaged(place) : error;
    }
  }
}

function isAlreadyThere(error: unknown): boolean {
  if (!(error instanceof Error)) return false;
  return ('code' in error && error.code === '42P07') || /already exists/.test(error.message);
}

async function firstTables(db: Transaction<ArchiveTables>, bytes: 'blob' | 'bytea'): Promise<void> {
  const raw = sql.raw<unknown>(bytes);
  await db.schema
    .createTable('controllers')
    .addColumn('identity', 'bigint', (c) => c.primaryKey())
    .addColumn('name', 'text')
    .addColumn('seen_ms', 'bigint', (c) => c.notNull())
    .execute();
  await createRecords(db, raw);
  await db.schema
    .createTable('gaps')
    .addColumn('identity', 'bigint', (c) => c.notNull())
    .addColumn('first', 'integer', (c) => c.notNull())
    .addColumn('last', 'integer', (c) => c.notNull())
    .addColumn('noticed_ms', 'bigint', (c) => c.notNull())
    .addPrimaryKeyConstraint('gaps_key', ['identity', 'first'])
    .execute();
  await createConnections(db);
  await db.schema
    .createTable('flashed_tables')
    .addColumn('identity', 'bigint', (c) => c.notNull())
    .addColumn('crc', 'bigint', (c) => c.notNull())
    .addColumn('bytes', raw, (c) => c.notNull())
    .addColumn('plan_text', 'text')
    .addColumn('stored_ms', 'bigint', (c) => c.notNull())
    .addPrimaryKeyConstraint('flashed_tables_key', ['identity', 'crc'])
    .execute();
  await createBook(db);
}

async function createRecords(
  db: Transaction<ArchiveTables>,
  raw: ReturnType<typeof sql.raw<unknown>>,
): Promise<void> {
  await db.schema
    .createTable('records')
    .addColumn('identity', 'bigint', (c) => c.notNull())
    .addColumn('sequence', 'integer', (c) => c.notNull())
    .addColumn('raw', raw, (c) => c.notNull())
    .addColumn('type', 'integer', (c) => c.notNull())
    .addColumn('partial', 'integer', (c) => c.notNull())
    .addColumn('estimated', 'integer', (c) => c.notNull())
    .addColumn('day', 'integer', (c) => c.notNull())
    .addColumn('utc_s', 'bigint')
    .addColumn('body', 'text', (c) => c.notNull())
    .addPrimaryKeyConstraint('records_key', ['identity', 'sequence'])
    .execute();
  // A review asks for a stretch of days, and for the table that ran when the stretch began.
  await db.schema
    .createIndex('records_by_day')
    .on('records')
    .columns(['identity', 'day', 'sequence'])
    .execute();
  await db.schema
    .createIndex('records_of_tables')
    .on('records')
    .columns(['identity', 'sequence'])
    .where(sql.ref('type'), 'in', sql`(10, 11, 12)`)
    .execute();
}

async function createConnections(db: Transaction<ArchiveTables>): Promise<void> {
  await db.schema
    .createTable('connections')
    .addColumn('identity', 'bigint', (c) => c.notNull())
    .addColumn('host_ms', 'bigint', (c) => c.notNull())
    .addColumn('controller_s', 'bigint', (c) => c.notNull())
    .addColumn('controller_sub', 'integer', (c) => c.notNull())
    .addColumn('known', 'integer', (c) => c.notNull())
    .addColumn('estimated', 'integer', (c) => c.notNull())
    .addColumn('set_after', 'integer', (c) => c.notNull())
    .addColumn('newest', 'integer', (c) => c.notNull())
    .addPrimaryKeyConstraint('connections_key', ['identity', 'host_ms'])
    .execute();
}

async function createBook(db: Transaction<ArchiveTables>): Promise<void> {
  await db.schema
    .createTable('notes')
    .addColumn('id', 'text', (c) => c.primaryKey())
    .addColumn('plan', 'text', (c) => c.notNull())
    .addColumn('batch', 'text', (c) => c.notNull())
    .addColumn('zone', 'text', (c) => c.notNull())
    .addColumn('bag', 'text', (c) => c.notNull())
    .addColumn('day', 'integer', (c) => c.notNull())
    .addColumn('written_ms', 'bigint', (c) => c.notNull())
    .addColumn('kind', 'text', (c) => c.notNull())
    .addColumn('refers', 'text')
    .addColumn('height_mm', 'double precision')
    .addColumn('lean_deg', 'double precision')
    .addColumn('photo', 'text')
    .addColumn('mass_g', 'double precision')
    .addColumn('why', 'text')
    .addColumn('text', 'text')
    .execute();
  await db.schema.createIndex('notes_by_plan').on('notes').columns(['plan', 'day']).execute();
  await db.schema
    .createTable('corrections')
    .addColumn('id', 'text', (c) => c.primaryKey())
    .addColumn('plan', 'text', (c) => c.notNull())
    .addColumn('zone', 'text', (c) => c.notNull())
    .addColumn('kind', 'text', (c) => c.notNull())
    .addColumn('due_day', 'integer', (c) => c.notNull())
    .addColumn('outcome', 'text', (c) => c.notNull())
    .addColumn('why', 'text')
    .addColumn('written_ms', 'bigint', (c) => c.notNull())
    .execute();
}

/** A bag has a number, may move and be harvested; a lot is made and sealed. */
async function livesOfBags(db: Transaction<ArchiveTables>): Promise<void> {
  const columns = [
    ...(['number', 'position', 'together', 'to_position'] as const).map((name) => [name, 'integer'] as const),
    ...(['lean_side_deg', 'dry_g'] as const).map((name) => [name, 'double precision'] as const),
    ...(['to_zone', 'stage', 'body'] as const).map((name) => [name, 'text'] as const),
  ];
  // One by one: SQLite adds no two columns in a statement.
  for (const [name, type] of columns) await db.schema.alterTable('notes').addColumn(name, type).execute();
}

/** Each flash that came to its end; those of before are taken to have done so. */
async function flashesDone(db: Transaction<ArchiveTables>): Promise<void> {
  await db.schema
    .createTable('flashes')
    .addColumn('identity', 'bigint', (c) => c.notNull())
    .addColumn('host_ms', 'bigint', (c) => c.notNull())
    .addColumn('crc', 'bigint', (c) => c.notNull())
    .addPrimaryKeyConstraint('flashes_key', ['identity', 'host_ms'])
    .execute();
  await db
    .insertInto('flashes')
    .columns(['identity', 'host_ms', 'crc'])
    .expression(
      // Without a condition SQLite takes the conflict's `on` for that of a join.
      db.selectFrom('flashed_tables').select(['identity', 'stored_ms', 'crc']).where('identity', '>', 0),
    )
    .onConflict((c) => c.doNothing())
    .execute();
}

/** The day on which corrected work was done: intervals count on from it. */
async function daysOfWork(db: Transaction<ArchiveTables>): Promise<void> {
  await db.schema.alterTable('corrections').addColumn('done_day', 'integer').execute();
}
