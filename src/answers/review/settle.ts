/**
 * Which table ran where the record of its flash was lost: each table that was
 * ever flashed is tried on the records that are left, and the one under which
 * their days give their own proofs is taken.
 *
 * Always holds: a table is taken on trust only where nothing speaks against
 * it; where several days speak against every table, it is unknown which ran.
 */

import type { LogRecord } from '../../../shared/log.ts';
import type { DayProof, Settled } from './story.ts';

/** Stands for a table of which nothing is known. No CRC-32 is negative. */
export const UNKNOWN_TABLE = -1;

/** What is known before anything is tried. */
export interface SettleInput {
  /** In order of sequence. */
  readonly records: readonly LogRecord[];
  /** CRC-32 of every table that may have run, the likeliest first. */
  readonly tables: readonly number[];
  /** UTC second of each table's flash, by its CRC. */
  readonly flashedAt: ReadonlyMap<number, number>;
  /** CRC of the table confirmed before the first record, where that is known. */
  readonly before: number | undefined;
  /** Records before the first one were lost, so that `before` may be out of date. */
  readonly lostBefore: boolean;
  /** Replays records as if they were all there were, with a table from the first on. */
  readonly proofsUnder: (records: readonly LogRecord[], crc: number | undefined) => readonly DayProof[];
}

/** This many days that speak against a table are more than a switching that was lost. */
const AGAINST = 2;

/** For the first record of each stretch after a loss, by its sequence: the table that ran. */
export function settleTables(input: SettleInput): ReadonlyMap<number, Settled> {
  const settled = new Map<number, Settled>();
  let assumed = input.before;
  for (const [i, stretch] of stretches(input.records).entries()) {
    const [first] = stretch;
    if (first && (i > 0 || input.lostBefore)) {
      const one = settle(input, stretch, assumed);
      settled.set(first.sequence, one);
      assumed = one.crc;
    }
    const confirmed = stretch.findLast((record) => record.type === 'confirmed');
    if (confirmed?.type === 'confirmed') assumed = confirmed.crc;
  }
  return settled;
}

/** Records without a gap between them. */
function stretches(records: readonly LogRecord[]): LogRecord[][] {
  const all: LogRecord[][] = [];
  for (const record of records) {
    const open = all.at(-1);
    if (open && open.at(-1)?.sequence === record.sequence - 1) open.push(record);
    else all.push([record]);
  }
  return all;
}

function settle(input: SettleInput, stretch: readonly LogRecord[], assumed: number | undefined): Settled {
  const known = assumed !== undefined && assumed !== UNKNOWN_TABLE;
  const candidates = [...(known ? [assumed] : []), ...input.tables, undefined];
  const telling = throughFirstFlash(stretch);
  let best: Settled = { crc: UNKNOWN_TABLE, days: 0, flashedAt: undefined };
  let against = 0;
  for (const crc of new Set(candidates)) {
    const proofs = input.proofsUnder(telling, crc);
    const days = proofs.filter((one) => one.result === 'proved').length;
    const unlike = proofs.filter((one) => one.result === 'unexplained').length;
    if (days > best.days) best = settledOn(input, crc, days);
    if (days > 0 && unlike === 0) break;
    if (crc === assumed) against = unlike;
  }
  if (best.days > 0 || against >= AGAINST || !known) return best;
  return settledOn(input, assumed, 0);
}

function settledOn({ flashedAt }: SettleInput, crc: number | undefined, days: number): Settled {
  return { crc, days, flashedAt: crc === undefined ? undefined : flashedAt.get(crc) };
}

/** Only what ran before the next table was confirmed can tell which one it was; the day of that still does. */
function throughFirstFlash(stretch: readonly LogRecord[]): readonly LogRecord[] {
  const confirmed = stretch.findIndex((record) => record.type === 'confirmed');
  if (confirmed < 0) return stretch;
  const proof = stretch.findIndex((record, i) => i > confirmed && record.type === 'proof');
  return proof < 0 ? stretch : stretch.slice(0, proof + 1);
}
