/**
 * The controller's clock against the host's at each connection, so that its
 * drift can be told.
 *
 * Always holds: one row a connection; times are as read, nothing is corrected.
 */

import { unixMsFromUtc } from '../../shared/civil.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import type { Archive } from './open.ts';

/** One reading of a controller's clock. */
export interface Connection {
  /** The host's clock, ms since 1970, at the middle of the exchange. */
  readonly hostMs: number;
  readonly controller: UtcSeconds;
  /** 1/256 s. */
  readonly sub: number;
  readonly known: boolean;
  readonly estimated: boolean;
  /** The host set the clock right after. */
  readonly setAfter: boolean;
  /** The newest sequence number in the controller's log then: up to this time nothing later was written. */
  readonly newest: number;
}

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

/** Seconds by which the controller's clock was ahead of the host's. */
export function aheadSeconds(reading: Connection): number {
  return (unixMsFromUtc(reading.controller) - reading.hostMs) / 1000 + reading.sub / 256;
}
