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
import { Kysely, SqliteDialect } from 'kysely';
import type { Archive } from './archive.ts';
import { ArchiveError, inWords, notAnArchive } from './error.ts';
import { bringUpToDate, isUpToDate } from './migrations.ts';
import { isPostgres, openPostgres } from './open-postgres.ts';
import type { ArchiveTables } from './schema.ts';
import { forKysely, loadSqlite, numberFrom } from './sqlite.ts';

export type { Archive } from './archive.ts';

/** Marks the SQLite file as ours (`file` and the sqlite3 program show it): `LnWd`. */
const SQLITE_APPLICATION_ID = 0x4c6e5764;
/** How long a second program waits for the first to finish writing, ms. */
const BUSY_MS = 10_000;

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
  return isPostgres(place) ? openPostgres(place, nowMs) : openSqlite(place, nowMs);
}

/**
 * The archive, opened so that nothing can be written, not even by a fault of
 * ours; undefined where that cannot be: it is a database of its own, was not
 * made yet, is older and must be brought up to date, or was being written when
 * the power went.
 */
async function openToLook(path: string): Promise<Archive | undefined> {
  if (isPostgres(path) || !existsSync(path)) return undefined;
  const Sqlite = await loadSqlite();
  let close = (): Promise<void> => Promise.resolve();
  try {
    const file = new Sqlite(path, { readOnly: true, timeout: BUSY_MS });
    const db = new Kysely<ArchiveTables>({ dialect: new SqliteDialect({ database: forKysely(file) }) });
    // Kysely closes a file only once it has asked it something.
    close = () => db.destroy().then(() => (file.isOpen ? file.close() : undefined));
    const archive: Archive = { kind: 'sqlite', place: path, db, close };
    const isOurs = numberFrom(file, 'pragma application_id') === SQLITE_APPLICATION_ID;
    if (isOurs && (await isUpToDate(archive))) return archive;
  } catch {
    // Opening it to write says what is wrong.
  }
  await close();
  return undefined;
}

async function openSqlite(path: string, nowMs: number): Promise<Archive> {
  const fresh = !existsSync(path) || statSync(path).size === 0;
  if (fresh && !existsSync(dirname(path))) {
    throw new ArchiveError(
      'unreachable',
      `There is no folder ${dirname(path)} for the archive.`,
      'Make it first.',
    );
  }
  const Sqlite = await loadSqlite();
  const file = wordErrors(path, () => new Sqlite(path, { timeout: BUSY_MS }));
  const db = new Kysely<ArchiveTables>({ dialect: new SqliteDialect({ database: forKysely(file) }) });
  const archive: Archive = { kind: 'sqlite', place: path, db, close: () => db.destroy() };
  try {
    wordErrors(path, () => {
      // Tables first, the mark second: a program that is making the archive sets the mark before any table.
      const tables = numberFrom(file, 'select count(*) from sqlite_master');
      const owner = numberFrom(file, 'pragma application_id');
      if (owner !== SQLITE_APPLICATION_ID && tables !== 0) throw notAnArchive(path);
      // The rollback journal keeps the archive one file that can be copied; FULL survives a power cut too.
      file.exec('pragma journal_mode = DELETE');
      file.exec('pragma synchronous = FULL');
      if (owner !== SQLITE_APPLICATION_ID) file.exec(`pragma application_id = ${SQLITE_APPLICATION_ID}`);
    });
    if (!(await isUpToDate(archive))) await bringUpToDate(archive, 'blob', nowMs);
    return archive;
  } catch (error) {
    await db.destroy();
    if (file.isOpen) file.close();
    throw inWords(path, error);
  }
}

function wordErrors<T>(path: string, act: () => T): T {
  try {
    return act();
  } catch (error) {
    throw inWords(path, error);
  }
}

/** Opens the archive, lets `act` use it, and closes it whatever happens. */
export async function withArchive<T>(
  place: string,
  nowMs: number,
  act: (archive: Archive) => Promise<T>,
): Promise<T> {
  return using(await openArchive(place, nowMs), act);
}

/** The same for `act` that only looks: nothing is written, but that an archive of an older Leanward is brought up to date. */
export async function lookInArchive<T>(
  place: string,
  nowMs: number,
  act: (archive: Archive) => Promise<T>,
): Promise<T> {
  return using((await openToLook(place)) ?? (await openArchive(place, nowMs)), act);
}

async function using<T>(archive: Archive, act: (archive: Archive) => Promise<T>): Promise<T> {
  try {
    return await act(archive);
  } catch (error) {
    throw inWords(archive.place, error);
  } finally {
    await archive.close();
  }
}
