/**
 * The schedule tables that were flashed, byte for byte, and the plans they came
 * from, so that any day can be replayed with the table that ran on it.
 *
 * Always holds: a table is found by the CRC-32 that the log's table records carry;
 * one that is kept may not have run: a flash that came to its end is kept apart.
 */

import { decodeTable } from '../../shared/table-decode.ts';
import { ArchiveError } from './error.ts';
import type { Archive } from './open.ts';

/** A table that was flashed. */
export interface FlashedTable {
  readonly crc: number;
  readonly bytes: Uint8Array;
  readonly planText: string | undefined;
  readonly storedMs: number;
}

/** A flash that came to its end: when, by the host's clock, and the table's CRC-32. */
export interface FlashDone {
  readonly hostMs: number;
  readonly crc: number;
}

/** Keeps that a table was put on a controller and confirmed there. */
export async function rememberFlash(
  archive: Archive,
  identity: number,
  { hostMs, crc }: FlashDone,
): Promise<void> {
  await archive.db
    .insertInto('flashes')
    .values({ identity, host_ms: hostMs, crc })
    .onConflict((c) => c.columns(['identity', 'host_ms']).doUpdateSet({ crc }))
    .execute();
}

/** The newest flash of a controller that came to its end. */
export async function lastFlash(archive: Archive, identity: number): Promise<FlashDone | undefined> {
  const row = await archive.db
    .selectFrom('flashes')
    .select(['host_ms', 'crc'])
    .where('identity', '=', identity)
    .orderBy('host_ms', 'desc')
    .limit(1)
    .executeTakeFirst();
  return row && { hostMs: row.host_ms, crc: row.crc };
}

/**
 * Keeps a table's bytes, and the plan's text when given. A table that is there
 * already stays. Throws ArchiveError when the bytes are no whole table.
 */
export async function rememberTable(
  archive: Archive,
  identity: number,
  bytes: Uint8Array,
  nowMs: number,
  planText?: string,
): Promise<void> {
  const read = decodeTable(bytes);
  if (!read.ok) throw new ArchiveError('damaged', `This is not a schedule table (${read.why}).`);
  await archive.db
    .insertInto('flashed_tables')
    .values({
      identity,
      crc: flashedCrc(bytes),
      bytes: Buffer.from(bytes),
      plan_text: planText ?? null,
      stored_ms: nowMs,
    })
    .onConflict((c) => c.columns(['identity', 'crc']).doNothing())
    .execute();
}

/** The CRC-32 at a table's end. */
export function flashedCrc(bytes: Uint8Array): number {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.length).getUint32(bytes.length - 4, true);
}

/** The tables of a controller, oldest first. */
export async function flashedTables(archive: Archive, identity: number): Promise<FlashedTable[]> {
  const rows = await archive.db
    .selectFrom('flashed_tables')
    .selectAll()
    .where('identity', '=', identity)
    .orderBy('stored_ms')
    .execute();
  return rows.map((row) => ({
    crc: row.crc,
    bytes: new Uint8Array(row.bytes),
    planText: row.plan_text ?? undefined,
    storedMs: row.stored_ms,
  }));
}
