/**
 * Opens the run archive: a SQLite file beside the plan, or a PostgreSQL
 * database where a farm has outgrown one machine.
 *
 * Always holds: both kinds have the same tables and answer the same queries; a
 * newer archive is refused and left as it is; a file that is something else is
 * not touched.
 */

import { existsSync, statSync } from 'node:fs';
import { basename, dirname, join } from 'node:path';
import { Kysely, PostgresDialect, SqliteDialect, sql } from 'kysely';
import { ArchiveError, inWords, notAnArchive } from './error.ts';
import { ARCHIVE_VERSION, migrate, versionOf } from './migrations.ts';
import type { ArchiveTables } from './schema.ts';

/** An open archive. `db` is the query layer, the same for both kinds. */
export interface Archive {
  readonly kind: 'sqlite' | 'postgres';
  /** Without a password; fit to be shown. */
  readonly place: string;
  readonly db: Kysely<ArchiveTables>;
  close(): Promise<void>;
}

/** The schema of our own in a PostgreSQL database that others may use too. */
const POSTGRES_SCHEMA = 'leanward';
/** Marks the SQLite file as ours (`file` and the sqlite3 program show it): `LnWd`. */
const SQLITE_APPLICATION_ID = 0x4c6e5764;
/** How long a second program waits for the first to finish writing, ms. */
const BUSY_MS = 10_000;
/** Any fixed number of our own; held while the tables are brought up to date. */
const MIGRATION_LOCK = 0x4c6e5764;

/** The name of a plan in the archive: its file's, without endings. */
export function planName(planPath: string): string {
  return basename(planPath)
    .replace(/\.ya?ml$/, '')
    .replace(/\.plan$/, '');
}

/** Where the archive of a plan lies unless `--archive` says otherwise. */
export function defaultArchivePath(planPath: string): string {
  return join(dirname(planPath), `${planName(planPath)}.archive.sqlite`);
}

/** The name under which the archive knows a controller of a plan. */
export function archiveName(plan: string, controller: string): string {
  return `${plan}/${controller}`;
}

/**
 * Opens the archive at a file path or a `postgres://` address, making it when
 * it does not exist and bringing it up to date when it is older.
 * Throws ArchiveError.
 */
export async function openArchive(place: string, nowMs: number): Promise<Archive> {
  return /^postgres(ql)?:\/\//.test(place) ? openPostgres(place, nowMs) : openSqlite(place, nowMs);
}

async function openSqlite(path: string, nowMs: number): Promise<Archive> {
  const { default: Database } = await import('better-sqlite3');
  const fresh = !existsSync(path) || statSync(path).size === 0;
  if (fresh && !existsSync(dirname(path))) {
    throw new ArchiveError(
      'unreachable',
      `There is no folder ${dirname(path)} for the archive.`,
      'Make it first.',
    );
  }
  const file = wordErrors(path, () => new Database(path, { timeout: BUSY_MS }));
  const db = new Kysely<ArchiveTables>({ dialect: new SqliteDialect({ database: file }) });
  const archive: Archive = { kind: 'sqlite', place: path, db, close: () => db.destroy() };
  try {
    wordErrors(path, () => {
      // Tables first, the mark second: a program that is making the archive sets the mark before any table.
      const tables = file.prepare<[], { n: number }>('select count(*) n from sqlite_master').get();
      const owner = file.pragma('application_id', { simple: true });
      if (owner !== SQLITE_APPLICATION_ID && tables?.n !== 0) throw notAnArchive(path);
      // The rollback journal keeps the archive one file that can be copied; FULL survives a power cut too.
      file.pragma('journal_mode = DELETE');
      file.pragma('synchronous = FULL');
      if (owner !== SQLITE_APPLICATION_ID) file.pragma(`application_id = ${SQLITE_APPLICATION_ID}`);
    });
    await bringUpToDate(archive, 'blob', nowMs);
    return archive;
  } catch (error) {
    await db.destroy();
    throw error;
  }
}

function wordErrors<T>(path: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    throw inWords(path, error);
  }
}

async function openPostgres(address: string, nowMs: number): Promise<Archive> {
  const { default: pg } = await import('pg');
  const place = address.replace(/(:\/\/[^:/@]*):[^@]*@/, '$1@');
  // int8 as a number: every such value of ours is below 2^53.
  const types = {
    getTypeParser: ((oid: number, format?: 'text') =>
      oid === 20 ? Number : pg.types.getTypeParser(oid, format)) as typeof pg.types.getTypeParser,
  };
  const pool = new pg.Pool({
    connectionString: address,
    max: 4,
    types,
    options: `-c search_path=${POSTGRES_SCHEMA}`,
    connectionTimeoutMillis: BUSY_MS,
  });
  // A connection that dies while idle must not end the program; the next query tells.
  pool.on('error', () => undefined);
  const db = new Kysely<ArchiveTables>({ dialect: new PostgresDialect({ pool }) });
  const archive: Archive = { kind: 'postgres', place, db, close: () => db.destroy() };
  try {
    await db.connection().execute(async (one) => {
      await sql`select pg_advisory_lock(${sql.lit(MIGRATION_LOCK)})`.execute(one);
      try {
        await sql`create schema if not exists ${sql.id(POSTGRES_SCHEMA)}`.execute(one);
        await bringUpToDate({ ...archive, db: one }, 'bytea', nowMs);
      } finally {
        await sql`select pg_advisory_unlock(${sql.lit(MIGRATION_LOCK)})`.execute(one);
      }
    });
    return archive;
  } catch (error) {
    await db.destroy();
    if (error instanceof ArchiveError) throw error;
    const why = error instanceof Error ? error.message : String(error);
    throw new ArchiveError('unreachable', `The archive at ${place} cannot be used: ${why}.`);
  }
}

async function bringUpToDate(archive: Archive, bytes: 'blob' | 'bytea', nowMs: number): Promise<void> {
  await archive.db.schema
    .createTable('schema_version')
    .ifNotExists()
    .addColumn('version', 'integer', (c) => c.primaryKey())
    .addColumn('applied_ms', 'bigint', (c) => c.notNull())
    .execute();
  const version = await versionOf(archive.db);
  if (version > ARCHIVE_VERSION) {
    throw new ArchiveError(
      'newer',
      `The archive ${archive.place} was written by a newer Leanward (archive version ${version}; ` +
        `this one knows ${ARCHIVE_VERSION}). Nothing was changed.`,
      'Update Leanward to use it.',
    );
  }
  await migrate(archive.db, version, bytes, nowMs);
}

/** Opens the archive, lets `act` use it, and closes it whatever happens. */
export async function withArchive<T>(
  place: string,
  nowMs: number,
  act: (archive: Archive) => Promise<T>,
): Promise<T> {
  const archive = await openArchive(place, nowMs);
  try {
    return await act(archive);
  } catch (error) {
    throw inWords(archive.place, error);
  } finally {
    await archive.close();
  }
}
