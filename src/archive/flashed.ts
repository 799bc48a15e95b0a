/**
 * The schedule tables that were flashed, byte for byte, and the plans they came
 * from, so that any day can be replayed with the table that ran on it.
 *
 * Always holds: a table is found by the CRC-32 that the log's table records carry.
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
