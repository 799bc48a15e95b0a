/**
 * What the archive knows of a plan's controllers without their records: who
 * they are, when they were met last, and the tables they were given.
 *
 * Always holds: a controller and its spares come in the order they were met.
 */

import type { Connection } from '../answers/review/connection.ts';
import { newestSequence } from './append.ts';
import { connectionsOf } from './connections.ts';
import { type FlashedTable, flashedTables } from './flashed.ts';
import { type Archive, archiveName } from './open.ts';
import { controllersOf } from './read.ts';

/** One board under a name of the plan. */
export interface KnownBoard {
  readonly identity: number;
  /** Newest sequence number in the archive; 0: none. */
  readonly newest: number;
  /** The last time its clock was read. */
  readonly met: Connection | undefined;
  /** Oldest first. */
  readonly tables: readonly FlashedTable[];
}

/** The boards that were ever `controller` of `plan`; the one met last comes last. */
export async function knownBoards(archive: Archive, plan: string, controller: string): Promise<KnownBoard[]> {
  const wanted = archiveName(plan, controller);
  const mine = (await controllersOf(archive)).filter((one) => one.name === wanted);
  const boards: KnownBoard[] = [];
  for (const { identity } of mine) {
    boards.push({
      identity,
      newest: await newestSequence(archive, identity),
      met: (await connectionsOf(archive, identity)).at(-1),
      tables: await flashedTables(archive, identity),
    });
  }
  return boards.sort((a, b) => lastMs(a) - lastMs(b));
}

/** When a board was last heard of, ms since 1970 by the host's clock; 0: never. */
export function lastMs({ met, tables }: KnownBoard): number {
  return Math.max(met?.hostMs ?? 0, tables.at(-1)?.storedMs ?? 0);
}

/** Records that a board had and that were not read when it was met last. */
export function unreadOf({ met, newest }: KnownBoard): number {
  return Math.max(0, (met?.newest ?? 0) - newest);
}
