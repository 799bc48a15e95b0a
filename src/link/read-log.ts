/**
 * Reads a controller's run log: the raw records, and what they say.
 *
 * Always holds: each record is 16 bytes as `log-format.md` has them, in rising
 * order of sequence; a record whose place or CRC is wrong is counted, never
 * guessed. Nothing on the controller changes by reading.
 */

import { decodeRecord, RECORD_BYTES } from '../../shared/log.ts';
import { RECORDS_PER_BLOCK } from '../../shared/registers.ts';
import type { LogReading, RawRecord } from '../answers/log/reading.ts';
import type { Controller } from './controller.ts';
import { impossibleLog } from './failure.ts';

/** More records than this are not written between two readings: one a second for eleven days. */
const RECORDS_MISSED_MAX = 1_000_000;

/**
 * The records after sequence number `since` (0: all there are).
 * `onPart` is told how far it is, 0 to 1.
 */
export async function readLog(
  controller: Controller,
  since = 0,
  onPart: (part: number) => void = () => undefined,
): Promise<LogReading> {
  const { logNewest: newest, logOldest: oldest } = await controller.status();
  if (newest - since > RECORDS_MISSED_MAX) throw impossibleLog(oldest, newest);
  const first = Math.max(oldest, since + 1);
  if (first > newest) return { records: [], oldest, newest, missing: [] };
  const found = new Map<number, RawRecord>();
  const firstBlock = Math.floor(first / RECORDS_PER_BLOCK);
  const lastBlock = Math.floor(newest / RECORDS_PER_BLOCK);
  for (let k = firstBlock; k <= lastBlock; k++) {
    for (const one of recordsOf(await controller.readLogBlock(k), k)) found.set(one.sequence, one);
    onPart((k - firstBlock + 1) / (lastBlock - firstBlock + 1));
  }
  const wanted = sequences(first, newest);
  return {
    records: wanted.flatMap((sequence) => found.get(sequence) ?? []),
    oldest,
    newest,
    missing: [...sequences(since + 1, first - 1), ...wanted.filter((sequence) => !found.has(sequence))],
  };
}

function sequences(first: number, last: number): number[] {
  return Array.from({ length: Math.max(0, last - first + 1) }, (_, i) => first + i);
}

/** The whole records of block `k` that lie where they belong. */
function recordsOf(block: Uint8Array, k: number): RawRecord[] {
  return sequences(0, RECORDS_PER_BLOCK - 1).flatMap((i) => {
    const raw = block.slice(i * RECORD_BYTES, (i + 1) * RECORD_BYTES);
    const record = decodeRecord(raw);
    const sequence = k * RECORDS_PER_BLOCK + i;
    return record?.sequence === sequence ? [{ sequence, raw, record }] : [];
  });
}
