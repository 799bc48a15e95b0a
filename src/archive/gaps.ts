/**
 * Sequence numbers that were never read: the ring had wrapped, or a record was
 * damaged where it lay.
 *
 * Always holds: gaps of one controller do not overlap or touch; together with
 * its records they cover 1 to the newest number, each number once.
 */

import type { Transaction } from 'kysely';
import { itemAt } from '../../shared/assert.ts';
import type { Archive } from './open.ts';
import type { ArchiveTables } from './schema.ts';

/** A stretch of lost records, both ends included. */
export interface Gap {
  readonly first: number;
  readonly last: number;
}

/** The gaps of a controller that lie at or after a sequence number, in order. */
export async function gapsOf(archive: Archive, identity: number, fromSequence = 1): Promise<Gap[]> {
  return archive.db
    .selectFrom('gaps')
    .select(['first', 'last'])
    .where('identity', '=', identity)
    .where('last', '>=', fromSequence)
    .orderBy('first')
    .execute();
}

/**
 * Works the gaps out anew around records just added, looking only at their
 * neighbourhood. Returns by how much the count of missing numbers grew.
 */
export async function refreshGaps(
  db: Transaction<ArchiveTables>,
  identity: number,
  added: readonly number[],
  nowMs: number,
): Promise<number> {
  const low = added[0];
  const high = added.at(-1);
  if (low === undefined || high === undefined) return 0;
  const previous = await neighbour(db, identity, low, 'before');
  const next = await neighbour(db, identity, high, 'after');
  const present = await between(db, identity, low, high);
  const bounds = [previous ?? 0, ...present, ...(next === undefined ? [] : [next])];
  const gaps = holes(bounds);
  const removed = await removeBetween(db, identity, previous ?? 0, next ?? high + 1);
  if (gaps.length > 0) {
    await db
      .insertInto('gaps')
      .values(gaps.map((gap) => ({ identity, ...gap, noticed_ms: nowMs })))
      .execute();
  }
  return gaps.reduce((sum, gap) => sum + gap.last - gap.first + 1, 0) - removed;
}

function holes(numbers: readonly number[]): Gap[] {
  const gaps: Gap[] = [];
  for (let i = 1; i < numbers.length; i++) {
    const first = itemAt(numbers, i - 1) + 1;
    const last = itemAt(numbers, i) - 1;
    if (first <= last) gaps.push({ first, last });
  }
  return gaps;
}

async function neighbour(
  db: Transaction<ArchiveTables>,
  identity: number,
  sequence: number,
  where: 'before' | 'after',
): Promise<number | undefined> {
  const row = await db
    .selectFrom('records')
    .select('sequence')
    .where('identity', '=', identity)
    .where('sequence', where === 'before' ? '<' : '>', sequence)
    .orderBy('sequence', where === 'before' ? 'desc' : 'asc')
    .limit(1)
    .executeTakeFirst();
  return row?.sequence;
}

async function between(
  db: Transaction<ArchiveTables>,
  identity: number,
  low: number,
  high: number,
): Promise<number[]> {
  const rows = await db
    .selectFrom('records')
    .select('sequence')
    .where('identity', '=', identity)
    .where('sequence', '>=', low)
    .where('sequence', '<=', high)
    .orderBy('sequence')
    .execute();
  return rows.map((row) => row.sequence);
}

/** Removes the gaps strictly between two present numbers; returns how many numbers they held. */
async function removeBetween(
  db: Transaction<ArchiveTables>,
  identity: number,
  previous: number,
  next: number,
): Promise<number> {
  const old = await db
    .deleteFrom('gaps')
    .where('identity', '=', identity)
    .where('first', '>', previous)
    .where('last', '<', next)
    .returning(['first', 'last'])
    .execute();
  return old.reduce((sum, gap) => sum + gap.last - gap.first + 1, 0);
}
