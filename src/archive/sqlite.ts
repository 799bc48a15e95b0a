/**
 * SQLite as the archive's file is kept with it: Node's own where this Node has
 * one, else a package that builds the same interface for older ones.
 *
 * Always holds: both are one interface and write one file format, so an archive
 * goes from one Node to another as it is; nothing is compiled at install.
 */

import { isBuiltin } from 'node:module';
import type { DatabaseSyncInstance, SqliteModule, StatementSyncInstance } from '@photostructure/sqlite';
import type { SqliteDatabase, SqliteStatement } from 'kysely';
import { itemAt } from '../../shared/assert.ts';
import { ArchiveError } from './error.ts';

type Driver = Pick<SqliteModule, 'DatabaseSync' | 'StatementSync'>;

/**
 * The SQLite of this Node. Throws ArchiveError where none can be loaded.
 */
export async function loadSqlite(): Promise<Driver['DatabaseSync']> {
  const own = isBuiltin('node:sqlite') ? await quietly(() => import('node:sqlite')) : undefined;
  return own && suffices(own) ? own.DatabaseSync : (await packaged()).DatabaseSync;
}

/** From Node 22.16 on; before, it could neither tell a statement's columns nor wait for a lock. */
function suffices(driver: Driver): boolean {
  return 'columns' in driver.StatementSync.prototype;
}

/** Node 22 says of its SQLite that it may change; the archive's tests answer for the part that we use. */
async function quietly<T>(load: () => Promise<T>): Promise<T> {
  const { emitWarning } = process;
  process.emitWarning = () => undefined;
  try {
    return await load();
  } finally {
    process.emitWarning = emitWarning;
  }
}

async function packaged(): Promise<Driver> {
  try {
    return await import('@photostructure/sqlite');
  } catch (error) {
    const why = error instanceof Error ? itemAt(error.message.split('\n'), 0) : String(error);
    throw new ArchiveError(
      'unreachable',
      `No archive can be opened: this Node (${process.version}) has no SQLite of its own, and the package that stands in for it is missing or does not fit this computer (${why}).`,
      'Use Node 22.16 or newer; or run `npm rebuild` in the folder of Leanward (it needs a C++ compiler), then try again.',
    );
  }
}

/** The file as Kysely's SQLite dialect asks for it. */
export function forKysely(file: DatabaseSyncInstance): SqliteDatabase {
  return {
    close: () => file.close(),
    prepare: (text) => statementForKysely(file.prepare(text)),
  };
}

function statementForKysely(statement: StatementSyncInstance): SqliteStatement {
  return {
    reader: statement.columns().length > 0,
    all: (values) => statement.all(...values),
    run: (values) => statement.run(...values),
    iterate: (values) => statement.iterate(...values),
  };
}

/** The first column of a query's one row. */
export function numberFrom(file: DatabaseSyncInstance, query: string): number {
  const [value] = Object.values<unknown>(file.prepare(query).get());
  return Number(value);
}
