/**
 * Opens a run archive in a PostgreSQL database.
 *
 * Always holds: a password is never shown; who may only look can use an
 * archive that is up to date; when opening fails, no connection is left open
 * behind (a server waits a minute for a password that never comes).
 */

import { Socket } from 'node:net';
import { Kysely, PostgresDialect, sql } from 'kysely';
import type { Archive } from './archive.ts';
import { ArchiveError, inWords, wrongEncoding } from './error.ts';
import { bringUpToDate, isUpToDate } from './migrations.ts';
import type { ArchiveTables } from './schema.ts';

/** The schema of our own in a database that others may use too. */
const SCHEMA = 'leanward';
/** How long a connection may take, ms. */
const CONNECT_MS = 10_000;
/** Any fixed number of our own; held while the tables are brought up to date. */
const MIGRATION_LOCK = 0x4c6e5764;
const SCHEME = /^postgres(ql)?:\/\//i;

/** Whether `place` is the address of a database. */
export function isPostgres(place: string): boolean {
  return SCHEME.test(place);
}

/** An address fit to be shown. A password may hold signs that should have been escaped. */
export function withoutPassword(address: string): string {
  return address.replace(/^(\w+:\/\/[^:/?@]*):.*@/, '$1@').replace(/([?&]password=)[^&]*/gi, '$1***');
}

/** Opens the archive at a `postgres://` address. Throws ArchiveError. */
export async function openPostgres(address: string, nowMs: number): Promise<Archive> {
  const place = withoutPassword(address);
  const sockets = new Set<Socket>();
  const db = new Kysely<ArchiveTables>({
    dialect: new PostgresDialect({ pool: () => makePool(address, sockets) }),
  });
  const close = async (): Promise<void> => {
    await db.destroy();
    for (const socket of sockets) socket.destroy();
  };
  const archive: Archive = { kind: 'postgres', place, db, close };
  try {
    if (!(await isUpToDate(archive))) await prepare(archive, nowMs);
    return archive;
  } catch (error) {
    await close();
    const words = inWords(place, error);
    if (words instanceof ArchiveError) throw words;
    const why = error instanceof Error ? error.message : String(error);
    throw new ArchiveError('unreachable', `The archive at ${place} cannot be used: ${why}.`);
  }
}

async function makePool(address: string, sockets: Set<Socket>) {
  const { default: pg } = await import('pg');
  // int8 as a number: every such value of ours is below 2^53.
  const types = {
    getTypeParser: ((oid: number, format?: 'text') =>
      oid === 20 ? Number : pg.types.getTypeParser(oid, format)) as typeof pg.types.getTypeParser,
  };
  const pool = new pg.Pool({
    connectionString: address.replace(SCHEME, (scheme) => scheme.toLowerCase()),
    max: 4,
    types,
    options: `-c search_path=${SCHEMA}`,
    connectionTimeoutMillis: CONNECT_MS,
    stream: () => {
      const socket = new Socket();
      sockets.add(socket);
      return socket;
    },
  });
  // A connection that dies must not end the program; the query under way, or the next one, tells.
  pool.on('error', () => undefined);
  pool.on('connect', (client) => client.on('error', () => undefined));
  return pool;
}

/** Makes the tables, or brings them up to date; of several programs one at a time. */
async function prepare(archive: Archive, nowMs: number): Promise<void> {
  await archive.db.connection().execute(async (one) => {
    const { rows } = await sql<{ server_encoding: string }>`show server_encoding`.execute(one);
    if (rows[0]?.server_encoding !== 'UTF8') throw wrongEncoding(archive.place);
    await sql`select pg_advisory_lock(${sql.lit(MIGRATION_LOCK)})`.execute(one);
    try {
      await sql`create schema if not exists ${sql.id(SCHEMA)}`.execute(one);
      await bringUpToDate({ ...archive, db: one }, 'bytea', nowMs);
    } finally {
      await sql`select pg_advisory_unlock(${sql.lit(MIGRATION_LOCK)})`.execute(one).catch(() => undefined);
    }
  });
}
