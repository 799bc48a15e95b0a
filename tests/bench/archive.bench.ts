/**
 * The archive at farm size: five million records of four hundred controllers.
 * Reading what is new and reviewing a fortnight must cost what the new part
 * costs, not what the archive holds.
 */

import { mkdtempSync, rmSync, statSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { itemAt } from '../../shared/assert.ts';
import { encodeRecord, type LogBody } from '../../shared/log.ts';
import { civilDay, utcSeconds } from '../../shared/units.ts';
import { appendRecords, newestSequence } from '../../src/archive/append.ts';
import { type Archive, withArchive } from '../../src/archive/open.ts';
import { firstSequenceFrom, readRecords, tableRecordsBefore } from '../../src/archive/read.ts';
import { median, type Row, row } from './row.ts';

const SMALL = 12_500;
const CONTROLLERS = 400;
const FIRST_DAY = 9_500;
/** Records a day: light, proof, and a visit or a boot now and then. */
const PER_DAY = 3;
const FORTNIGHT = 14;

function rawRecord(sequence: number): Uint8Array {
  const day = civilDay(FIRST_DAY + Math.floor(sequence / PER_DAY));
  const kinds: readonly LogBody[] = [
    { type: 'light', day, onTime: [120, 0, 120, 0, 120, 0, 120, 0] },
    { type: 'proof', day, crc: sequence & 0xffff, min: 42, mean: 47, max: 52, outsideMinutes: 0, resets: 0 },
    {
      ...{ type: 'visit', time: utcSeconds(day * 86_400), kind: 1, outcome: 0, zones: 1, lateMinutes: 5 },
    },
  ];
  return encodeRecord({ sequence, partial: false, estimated: false, ...itemAt(kinds, sequence % PER_DAY) });
}

async function fill(archive: Archive, identity: number): Promise<void> {
  const all = Array.from({ length: SMALL }, (_, i) => rawRecord(i + 1));
  await appendRecords(archive, identity, all, 0);
}

/** Milliseconds of one weekly reading: what is newest, and 21 records more. */
async function weekly(archive: Archive, identity: number): Promise<number> {
  const began = performance.now();
  const newest = await newestSequence(archive, identity);
  const fresh = Array.from({ length: 7 * PER_DAY }, (_, i) => rawRecord(newest + 1 + i));
  await appendRecords(archive, identity, fresh, 0);
  return performance.now() - began;
}

/** Milliseconds of what a review of the last fortnight asks of the archive. */
async function fortnight(archive: Archive, identity: number): Promise<number> {
  const began = performance.now();
  const day = civilDay(FIRST_DAY + Math.floor(SMALL / PER_DAY) - FORTNIGHT);
  const first = (await firstSequenceFrom(archive, identity, day)) ?? 1;
  await tableRecordsBefore(archive, identity, first, 64);
  let count = 0;
  for await (const _ of readRecords(archive, identity, { fromSequence: first })) count += 1;
  if (count < FORTNIGHT * PER_DAY) throw new Error(`only ${count} records`);
  return performance.now() - began;
}

async function measured(archive: Archive, work: typeof weekly, controllers: number): Promise<number> {
  const times: number[] = [];
  for (let i = 0; i < 21; i++) times.push(await work(archive, 1 + ((i * 37) % controllers)));
  return median(times);
}

/** The rows of the bench. Takes some minutes and about two gigabytes of a temporary folder. */
export async function rows(): Promise<Row[]> {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-bench-'));
  const place = join(folder, 'farm.sqlite');
  try {
    return await withArchive(place, 0, async (archive) => {
      await fill(archive, 1);
      const small = {
        weekly: await measured(archive, weekly, 1),
        fortnight: await measured(archive, fortnight, 1),
      };
      const began = performance.now();
      for (let identity = 2; identity <= CONTROLLERS; identity++) await fill(archive, identity);
      const seconds = (performance.now() - began) / 1000;
      const large = {
        weekly: await measured(archive, weekly, CONTROLLERS),
        fortnight: await measured(archive, fortnight, CONTROLLERS),
      };
      return [
        row('records added a second', (SMALL * (CONTROLLERS - 1)) / seconds, '/s', { least: 10_000 }),
        row('bytes on disk a record', statSync(place).size / (SMALL * CONTROLLERS), 'B', { most: 400 }),
        row(`a week's reading, ${SMALL} records held`, small.weekly, 'ms'),
        row("a week's reading, 5 million records held", large.weekly, 'ms', { most: 100 }),
        row('… times as long as with one controller', large.weekly / small.weekly, '×', { most: 4 }),
        row(`a fortnight's review, ${SMALL} records held`, small.fortnight, 'ms'),
        row("a fortnight's review, 5 million records held", large.fortnight, 'ms', { most: 100 }),
        row('… times as long as with one controller', large.fortnight / small.fortnight, '×', { most: 4 }),
      ];
    });
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}
