/**
 * What the archive knows of a plan's controllers without their records: who
 * they are, when they were met last, and the tables they were given.
 *
 * Always holds: a controller and its spares come in the order they were met.
 */

import type { Connection } from '../answers/review/connection.ts';
import { newestSequence } from './append.ts';
import { connectionsOf } from './connections.ts';
import { type FlashDone, type FlashedTable, flashedTables, lastFlash } from './flashed.ts';
import { type Archive, archiveName } from './open.ts';
import { controllersOf, tableRecordsBefore } from './read.ts';

/** One board under a name of the plan. */
export interface KnownBoard {
  readonly identity: number;
  /** Newest sequence number in the archive; 0: none. */
  readonly newest: number;
  /** The last time its clock was read. */
  readonly met: Connection | undefined;
  /** Oldest first. */
  readonly tables: readonly FlashedTable[];
  /** The one that it runs, as far as the archive knows. */
  readonly running: FlashedTable | undefined;
}

/** The boards that were ever `controller` of `plan`; the one met last comes last. */
export async function knownBoards(archive: Archive, plan: string, controller: string): Promise<KnownBoard[]> {
  const wanted = archiveName(plan, controller);
  const mine = (await controllersOf(archive)).filter((one) => one.name === wanted);
  const boards: KnownBoard[] = [];
  for (const { identity } of mine) {
    const newest = await newestSequence(archive, identity);
    const met = (await connectionsOf(archive, identity)).at(-1);
    const tables = await flashedTables(archive, identity);
    const confirmed = await lastConfirmed(archive, identity, newest);
    const flash = await lastFlash(archive, identity);
    const running = runningTable(tables, { confirmed, readMs: met?.hostMs, flash });
    boards.push({ identity, newest, met, tables, running });
  }
  return boards.sort((a, b) => lastMs(a) - lastMs(b));
}

/** Between two confirmations lie at most a few trials that were given up. */
const TABLE_RECORDS = 64;

/** CRC of the table that the log confirmed last. */
async function lastConfirmed(
  archive: Archive,
  identity: number,
  newest: number,
): Promise<number | undefined> {
  const records = await tableRecordsBefore(archive, identity, newest + 1, TABLE_RECORDS);
  const confirmed = records.find(({ type }) => type === 'confirmed');
  return confirmed?.type === 'confirmed' ? confirmed.crc : undefined;
}

/** What speaks for one table or another. */
interface Signs {
  /** CRC of the table that the log confirmed last. */
  readonly confirmed: number | undefined;
  /** When the log was read last. */
  readonly readMs: number | undefined;
  /** The newest flash that came to its end. */
  readonly flash: FlashDone | undefined;
}

/**
 * The table that runs: the one whose flash came to its end since the log was read last, else the one that the log
 * confirmed last; so neither a flash broken off nor a table flashed a second time misleads. `storedMs` of the table
 * flashed last is the time of that flash.
 */
export function runningTable(
  tables: readonly FlashedTable[],
  { confirmed, readMs, flash }: Signs,
): FlashedTable | undefined {
  const since = flash && (readMs === undefined || flash.hostMs > readMs) ? flash.crc : confirmed;
  const table = tables.find(({ crc }) => crc === since) ?? tables.at(-1);
  return table && flash?.crc === table.crc ? { ...table, storedMs: flash.hostMs } : table;
}

/** When a board was last heard of, ms since 1970 by the host's clock; 0: never. */
export function lastMs({ met, tables }: KnownBoard): number {
  return Math.max(met?.hostMs ?? 0, tables.at(-1)?.storedMs ?? 0);
}

/** Records that a board had and that were not read when it was met last. */
export function unreadOf({ met, newest }: KnownBoard): number {
  return Math.max(0, (met?.newest ?? 0) - newest);
}
