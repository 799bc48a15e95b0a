/**
 * Sizes: the schedule part of the table beside a flat and a delta-coded switch
 * list of the same outputs, bare and under Brotli at its strongest.
 */

import { brotliCompressSync, constants } from 'node:zlib';
import { compilePlan } from '../../compiler/compile.ts';
import { firstInstant, type UtcOffsets } from '../../compiler/plan/utc-offsets.ts';
import type { DayBlocks } from '../../compiler/steer/block.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { type Row, row } from './row.ts';

/** Every instant at which an output changes, without the stagger, and the mask of outputs that are on from it. */
export function switchings(
  days: readonly DayBlocks[],
  offsets: UtcOffsets,
): { minute: number; mask: number }[] {
  const edges = new Map<number, number[]>();
  for (const { day, blocks } of days) {
    for (const { output, anchor, from, length } of blocks) {
      const start = firstInstant(offsets, day, anchor) / 60;
      for (const minute of [start + from, start + from + length])
        edges.set(minute, [...(edges.get(minute) ?? []), output]);
    }
  }
  const list: { minute: number; mask: number }[] = [];
  let mask = 0;
  for (const minute of [...edges.keys()].sort((a, b) => a - b)) {
    const before = mask;
    for (const output of sure(edges.get(minute))) mask ^= 1 << (output - 1);
    if (mask !== before) list.push({ minute, mask });
  }
  return list;
}

/** 4 bytes of time and 2 of outputs an instant. */
function flatList(list: readonly { minute: number; mask: number }[]): Uint8Array {
  const bytes = new DataView(new ArrayBuffer(list.length * 6));
  list.forEach(({ minute, mask }, at) => {
    bytes.setUint32(at * 6, minute * 60, true);
    bytes.setUint16(at * 6 + 4, mask, true);
  });
  return new Uint8Array(bytes.buffer);
}

/** 2 bytes of minutes since the instant before (longer waits in several steps) and 1 of outputs. */
function deltaList(list: readonly { minute: number; mask: number }[]): Uint8Array {
  const bytes: number[] = [];
  let before = list[0]?.minute ?? 0;
  let mask = 0;
  for (const one of list) {
    for (let wait = one.minute - before; ; wait -= 0xffff) {
      const step = Math.min(wait, 0xffff);
      if (wait <= 0xffff) mask = one.mask;
      bytes.push(step & 0xff, step >> 8, mask);
      if (wait <= 0xffff) break;
    }
    before = one.minute;
  }
  return Uint8Array.from(bytes);
}

const brotli = (bytes: Uint8Array): number =>
  brotliCompressSync(bytes, {
    params: { [constants.BROTLI_PARAM_QUALITY]: 11, [constants.BROTLI_PARAM_LGWIN]: 24 },
  }).length;

export async function rows(): Promise<Row[]> {
  const result: Row[] = [];
  for (const name of ['pantry', 'pantry-open', 'wire-rack', 'smallest']) {
    const { tables, timeline } = compilePlan(samplePlan(name), { boards: BOARDS });
    const { costs } = itemAt(tables, 0);
    const list = switchings(sure(timeline).days, sure(timeline).offsets);
    const [flat, delta] = [flatList(list), deltaList(list)];
    const others = [flat.length, brotli(flat), delta.length, brotli(delta)];
    const pantry = name === 'pantry';
    result.push(
      row(`${name}: table`, costs.total, 'bytes', { most: pantry ? 128 : 440 }),
      row(`${name}: schedule part`, costs.schedule, 'bytes', pantry ? { most: 64 } : undefined),
      row(`${name}: ${list.length} instants as a flat list`, flat.length, 'bytes'),
      row(`${name}: flat list under Brotli`, itemAt(others, 1), 'bytes'),
      row(`${name}: delta-coded list`, delta.length, 'bytes'),
      row(`${name}: delta-coded list under Brotli`, itemAt(others, 3), 'bytes'),
      row(
        `${name}: schedule part to the smallest list`,
        costs.schedule / Math.min(...others),
        '',
        pantry ? { most: 1 } : undefined,
      ),
    );
  }
  return result;
}
