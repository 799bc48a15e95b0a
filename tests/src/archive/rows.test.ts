/**
 * Single rows of the archive as its README tells them to other programs, and
 * readings that no sound controller gives.
 */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { encodeRecord } from '../../../shared/log.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import type { Note } from '../../../src/answers/book/note.ts';
import { appendRecords, rememberController } from '../../../src/archive/append.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { readNotes, readTakenBack, withdrawNote, writeNote } from '../../../src/archive/notes.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import {
  firstSequenceFrom,
  type RecordRange,
  readRecords,
  tableRecordsBefore,
} from '../../../src/archive/read.ts';
import { raw, record } from './records.ts';

let archive: Archive;
beforeEach(async () => {
  archive = await openArchive(':memory:', 0);
});
afterEach(() => archive.close());

async function numbers(range?: RecordRange): Promise<number[]> {
  const found: number[] = [];
  for await (const { sequence } of readRecords(archive, 7, range)) found.push(sequence);
  return found;
}
const upTo = (last: number, first = 1): number[] =>
  Array.from({ length: last - first + 1 }, (_, i) => first + i);

describe('a row of records', () => {
  /** By `shared/log-format.md`, section "A record". */
  const TYPES = { light: 1, proof: 2, boot: 3, visit: 4, clockSet: 8, fault: 9, confirmed: 11 };

  it('says in columns what its bytes say', async () => {
    await appendRecords(archive, 7, raw(1, 60), 0);
    const rows = await archive.db.selectFrom('records').selectAll().orderBy('sequence').execute();
    const { length } = rows;
    expect(length).toBe(60);
    for (const row of rows) {
      const { sequence, partial, estimated, ...body } = record(row.sequence);
      const [type, at] = [TYPES[body.type as keyof typeof TYPES], 'time' in body ? body.time : null];
      expect(row).toMatchObject({ identity: 7, sequence, type, utc_s: at });
      expect(row).toMatchObject({ partial: Number(partial), estimated: Number(estimated) });
      // The civil day of a day record, the UTC day of an event; a day has 86,400 seconds.
      expect(row.day).toBe('day' in body ? body.day : Math.floor(body.time / 86_400));
      expect(JSON.parse(row.body)).toEqual(body);
      expect([...row.raw]).toEqual([...itemAt(raw(sequence, sequence), 0)]);
    }
  });
});

describe('a reading', () => {
  it.each([[[1, 2, 5, 6, 7]], [[7, 6, 5, 2, 1]], [[5, 1, 7, 2, 6]]])(
    'in the order %j is the same',
    async (order) => {
      const done = await appendRecords(
        archive,
        7,
        order.flatMap((one) => raw(one, one)),
        0,
      );
      expect(done).toEqual({ added: 5, known: 0, damaged: 0, lost: 2, newest: 7 });
      expect(await gapsOf(archive, 7)).toEqual([{ first: 3, last: 4 }]);
      expect(await numbers()).toEqual([1, 2, 5, 6, 7]);
    },
  );

  it('with a record twice holds it once; with two of one number it is refused', async () => {
    await appendRecords(archive, 7, [...raw(1, 2), ...raw(1, 2)], 0);
    expect(await numbers()).toEqual([1, 2]);
    const other = encodeRecord({ ...record(3), partial: !record(3).partial });
    const twice = appendRecords(archive, 7, [...raw(3, 3), other], 0);
    await expect(twice).rejects.toMatchObject({
      fault: 'contradiction',
      message: expect.stringContaining('of controller 00000007: its record 3 is another than the one kept'),
    });
    expect(await numbers()).toEqual([1, 2]);
  });

  it('has no record 0: numbers begin at 1 (log-format.md)', async () => {
    const zero = encodeRecord({ ...record(7), sequence: 0 });
    expect(await appendRecords(archive, 7, [zero, ...raw(1, 1)], 0)).toMatchObject({ added: 1, damaged: 1 });
    expect(await numbers()).toEqual([1]);
  });

  it('of nothing leaves all as it is, and tells what there is', async () => {
    await appendRecords(archive, 7, raw(3, 4), 0);
    const nothing = { added: 0, known: 0, damaged: 0, lost: 0, newest: 4 };
    expect(await appendRecords(archive, 7, [], 0)).toEqual(nothing);
    expect(await appendRecords(archive, 7, [new Uint8Array(16).fill(0xff)], 0)).toEqual(nothing);
    expect(await gapsOf(archive, 7)).toEqual([{ first: 1, last: 2 }]);
  });

  it('fills a gap at either end of it, and in the middle', async () => {
    await appendRecords(archive, 7, [...raw(1, 1), ...raw(20, 20)], 0);
    expect((await appendRecords(archive, 7, raw(2, 3), 0)).lost).toBe(-2);
    expect((await appendRecords(archive, 7, raw(18, 19), 0)).lost).toBe(-2);
    expect((await appendRecords(archive, 7, [...raw(10, 10), ...raw(30, 30)], 0)).lost).toBe(8);
    expect(await gapsOf(archive, 7)).toEqual([
      { first: 4, last: 9 },
      { first: 11, last: 17 },
      { first: 21, last: 29 },
    ]);
  });

  it('of thousands of records is kept whole, and read back whole or in part', async () => {
    await appendRecords(archive, 7, raw(1, 5001), 0);
    expect(await numbers()).toEqual(upTo(5001));
    expect(await numbers({ fromSequence: 4990 })).toEqual(upTo(5001, 4990));
    expect(await numbers({ toSequence: 5000 })).toEqual(upTo(5000));
    expect(await numbers({ fromSequence: 3, toSequence: 5 })).toEqual([3, 4, 5]);
  });
});

it('the records of tables are the committed, the confirmed and the reverted, newest first', async () => {
  const types = ['visitsPassed', 'reverted', 'confirmed', 'committed', 'fault'] as const;
  const records = types.map((type, at) => {
    const common = { sequence: at + 1, partial: false, estimated: false, time: utcSeconds(8e8 + at) };
    if (type === 'visitsPassed') return encodeRecord({ ...common, type, count: 1 });
    if (type === 'fault') return encodeRecord({ ...common, type, fault: 1, entered: 1, detail: 0 });
    return encodeRecord({ ...common, type, crc: 5, tableSequence: 1, slot: 0 });
  });
  await appendRecords(archive, 7, records, 0);
  const before = async (sequence: number, count: number) =>
    (await tableRecordsBefore(archive, 7, sequence, count)).map(({ type }) => type);
  expect(await before(6, 9)).toEqual(['committed', 'confirmed', 'reverted']);
  expect(await before(4, 9)).toEqual(['confirmed', 'reverted']);
  expect(await before(6, 1)).toEqual(['committed']);
});

it('a look at a day begins with its first record, also where the clock was set back to it', async () => {
  const light = (sequence: number, day: number): Uint8Array =>
    encodeRecord({
      ...{ sequence, partial: false, estimated: false, type: 'light', day: civilDay(day) },
      onTime: new Array<number>(8).fill(0),
    });
  await appendRecords(archive, 7, [light(1, 9600), light(2, 9611), light(3, 9610), light(4, 9620)], 0);
  expect(await firstSequenceFrom(archive, 7, civilDay(9610))).toBe(2);
  expect(await firstSequenceFrom(archive, 7, civilDay(9612))).toBe(4);
  expect(await firstSequenceFrom(archive, 7, civilDay(9621))).toBeUndefined();
});

it('a controller keeps the name it was given last, and when it was heard of last', async () => {
  await rememberController(archive, 7, 'pantry/left', 5);
  await rememberController(archive, 7, 'pantry/right', 6);
  await appendRecords(archive, 7, raw(1, 1), 9);
  const rows = await archive.db.selectFrom('controllers').selectAll().execute();
  expect(rows).toEqual([{ identity: 7, name: 'pantry/right', seen_ms: 9 }]);
});

describe('an entry of the grow book', () => {
  const entry: Note = {
    ...{ id: 'a', plan: 'p', batch: 'b', zone: 'A', bag: 'b-1', number: 1, position: 3 },
    ...{ day: civilDay(9600), writtenMs: 5, kind: 'note', why: undefined, text: 'thin' },
  };

  it('that is taken back is kept, with when that was', async () => {
    await writeNote(archive, entry);
    await writeNote(archive, { ...entry, id: 'c', writtenMs: 6 });
    expect(await readTakenBack(archive, 'p')).toEqual([]);
    await expect(withdrawNote(archive, 'p', 'z', 'w', 70)).rejects.toThrow('No note begins with z.');
    await withdrawNote(archive, 'p', 'a', 'w', 70);
    expect(await readTakenBack(archive, 'p')).toEqual([
      { note: expect.objectContaining(entry), takenBackMs: 70 },
    ]);
    expect((await readNotes(archive, 'p')).map(({ id }) => id)).toEqual(['c']);
    const row = await archive.db
      .selectFrom('notes')
      .selectAll()
      .where('id', '=', 'w')
      .executeTakeFirstOrThrow();
    expect(row).toMatchObject({ kind: 'withdraw', refers: 'a', bag: 'b-1', number: 1, position: 3 });
  });

  it('keeps how a lot was made, and what the plan had before for a stage or a zone that ended', async () => {
    const made = { from: 540, until: 600, load: '24 bags' };
    await writeNote(archive, { ...entry, kind: 'made', stage: 'sterilise', made });
    await writeNote(archive, { ...entry, id: 'b', kind: 'began', stage: 'wake', before: civilDay(9590) });
    await writeNote(archive, { ...entry, id: 'c', kind: 'began', stage: 'climb' });
    await writeNote(archive, { ...entry, id: 'd', kind: 'harvest', massG: 85, before: civilDay(9591) });
    const [first, second, third, fourth] = await readNotes(archive, 'p');
    expect(first).toMatchObject({ kind: 'made', stage: 'sterilise', made });
    expect(second).toMatchObject({ kind: 'began', stage: 'wake', before: 9590 });
    expect(third?.before).toBeUndefined();
    expect(fourth).toMatchObject({ kind: 'harvest', massG: 85, before: 9591 });
  });

  const words = { heading: '', rows: [], height: '', remarks: [] };
  const sheet = { wetKg: 1, dryKg: 1, figures: {}, metric: words, us: words };

  it.each([
    ['note', JSON.stringify({ roster: [], sheet })],
    ['sealed', '{"before":"2026-04-01"}'],
    ['note', '{"before":"2026-04-01"}'],
    ['note', '{"from":540}'],
    ['began', '{"before":"2026-04-31"}'],
    ['sealed', 'no JSON'],
    ['sealed', '{}'],
    ['made', '[1]'],
    ['note', '{}'],
  ])('of kind %s whose body is %s is damaged, not an error of ours', async (kind, body) => {
    await writeNote(archive, entry);
    await archive.db.updateTable('notes').set({ kind, body }).execute();
    await expect(readNotes(archive, 'p')).rejects.toMatchObject({ fault: 'damaged' });
  });

  it.each([-1, 0.5, 100_001])('of day %d is damaged', async (day) => {
    await writeNote(archive, { ...entry, day: civilDay(9600) });
    await archive.db.updateTable('notes').set({ day }).execute();
    await expect(readNotes(archive, 'p')).rejects.toMatchObject({ fault: 'damaged' });
  });

  it('may be of the first day and of the last that there is', async () => {
    await writeNote(archive, { ...entry, day: civilDay(0) });
    await writeNote(archive, { ...entry, id: 'z', day: civilDay(100_000) });
    expect((await readNotes(archive, 'p')).map(({ day }) => day)).toEqual([0, 100_000]);
  });
});
