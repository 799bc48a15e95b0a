/**
 * The controller's clock against the host's at each connection, so that its
 * drift can be told.
 *
 * Always holds: one row a connection; times are as read, nothing is corrected.
 */

import { utcSeconds } from '../../shared/units.ts';
import type { Connection } from '../answers/review/connection.ts';
import type { Archive } from './open.ts';

/** Keeps a reading of the clock. */
export async function rememberConnection(
  archive: Archive,
  identity: number,
  reading: Connection,
): Promise<void> {
  const row = {
    identity,
    host_ms: reading.hostMs,
    controller_s: reading.controller,
    controller_sub: reading.sub,
    known: reading.known ? 1 : 0,
    estimated: reading.estimated ? 1 : 0,
    set_after: reading.setAfter ? 1 : 0,
    newest: reading.newest,
  };
  await archive.db
    .insertInto('connections')
    .values(row)
    .onConflict((c) => c.columns(['identity', 'host_ms']).doUpdateSet(row))
    .execute();
}

/** The readings of a controller from `fromMs` on, oldest first. */
export async function connectionsOf(archive: Archive, identity: number, fromMs = 0): Promise<Connection[]> {
  const rows = await archive.db
    .selectFrom('connections')
    .selectAll()
    .where('identity', '=', identity)
    .where('host_ms', '>=', fromMs)
    .orderBy('host_ms')
    .execute();
  return rows.map((row) => ({
    hostMs: row.host_ms,
    controller: utcSeconds(row.controller_s),
    sub: row.controller_sub,
    known: row.known === 1,
    estimated: row.estimated === 1,
    setAfter: row.set_after === 1,
    newest: row.newest,
  }));
}
