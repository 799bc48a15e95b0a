/** What every archive must do, whichever database holds it; run for SQLite and for PostgreSQL. */

import { sql } from 'kysely';
import { describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { encodeRecord, type LogRecord } from '../../../shared/log.ts';
import type { Table } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { civilDay, utcSeconds } from '../../../shared/units.ts';
import type { Note } from '../../../src/answers/book/note.ts';
import type { SheetWords } from '../../../src/answers/book/sealed.ts';
import { aheadSeconds } from '../../../src/answers/review/connection.ts';
import { appendRecords, newestSequence, rememberController } from '../../../src/archive/append.ts';
import { connectionsOf, rememberConnection } from '../../../src/archive/connections.ts';
import {
  flashedCrc,
  flashedTables,
  lastFlash,
  rememberFlash,
  rememberTable,
} from '../../../src/archive/flashed.ts';
import { gapsOf } from '../../../src/archive/gaps.ts';
import { ARCHIVE_VERSION } from '../../../src/archive/migrations.ts';
import { readNotes, writeNotes } from '../../../src/archive/notes.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import {
  controllersOf,
  firstSequenceFrom,
  readRecords,
  tableRecordsBefore,
} from '../../../src/archive/read.ts';
import { emptyTable } from '../../support/empty-table.ts';
import { FIRST_DAY, raw, record } from './records.ts';

const NOW = 1_771_200_000_000;

/** A table of nothing. */
const TABLE: Table = emptyTable(FIRST_DAY);

const ADDED_IN_2 = [
  ...['number', 'position', 'together', 'to_position', 'lean_side_deg', 'dry_g', 'to_zone', 'stage', 'body'],
];

/** An entry with everything that a bag's entry can have. */
const EVERYTHING: Note = {
  ...{ id: '', plan: 'pantry', batch: 'early', zone: 'A', bag: 'early-02', number: 2, position: 2 },
  ...{ day: civilDay(FIRST_DAY + 1), writtenMs: 6, kind: 'harvest', why: 'x', heightMm: 80, leanDeg: 12 },
  ...{ leanSideDeg: 270, photo: 'a.jpg', massG: 85.5, dryG: 29.5, together: 5, stage: 'climb', text: 'Ä' },
  to: { zone: 'B', position: 3 },
};
const SHEET = {
  heading: 'early',
  rows: [['', 'one bag', 'all bags']],
  height: '',
  remarks: [],
} satisfies SheetWords;
const SEALED: Note = {
  ...{ id: '', plan: 'pantry', batch: 'early', zone: '', bag: '', day: civilDay(FIRST_DAY + 2) },
  ...{ writtenMs: 7, kind: 'sealed', why: undefined },
  sealed: {
    roster: [{ zone: 'A', bags: 2 }],
    sheet: { wetKg: 2.2, dryKg: 0.9, figures: { bags: 2 }, metric: SHEET, us: SHEET },
  },
};

async function all(archive: Archive, identity: number): Promise<LogRecord[]> {
  const found: LogRecord[] = [];
  for await (const one of readRecords(archive, identity)) found.push(one);
  return found;
}

/** Defines the tests; `place` gives a fresh address each time it is called. */
export function archiveBehaviour(place: () => string): void {
  async function withArchive(act: (archive: Archive, where: string) => Promise<void>): Promise<void> {
    const where = place();
    const archive = await openArchive(where, NOW);
    try {
      await act(archive, where);
    } finally {
      await archive.close();
    }
  }

  describe('records', () => {
    it('come back exactly, in order', () =>
      withArchive(async (archive) => {
        const done = await appendRecords(archive, 7, raw(1, 40), NOW);
        expect(done).toEqual({ added: 40, known: 0, damaged: 0, lost: 0, newest: 40 });
        const expected = Array.from({ length: 40 }, (_, i) => record(i + 1));
        expect(await all(archive, 7)).toEqual(expected);
      }));

    it('read twice, or in pieces that overlap, are held once', () =>
      withArchive(async (archive) => {
        await appendRecords(archive, 7, raw(1, 30), NOW);
        expect(await appendRecords(archive, 7, raw(1, 30), NOW)).toMatchObject({ added: 0, known: 30 });
        expect(await appendRecords(archive, 7, raw(20, 45), NOW)).toMatchObject({ added: 15, known: 11 });
        expect(await newestSequence(archive, 7)).toBe(45);
        expect((await all(archive, 7)).map((r) => r.sequence)).toEqual(raw(1, 45).map((_, i) => i + 1));
      }));

    it('of two controllers do not meet', () =>
      withArchive(async (archive) => {
        await appendRecords(archive, 7, raw(1, 5), NOW);
        await appendRecords(archive, 8, raw(1, 9), NOW);
        await rememberController(archive, 8, 'pantry', NOW);
        expect(await newestSequence(archive, 7)).toBe(5);
        expect(await newestSequence(archive, 8)).toBe(9);
        expect(await newestSequence(archive, 9)).toBe(0);
        expect(await controllersOf(archive)).toEqual([
          { identity: 7, name: null },
          { identity: 8, name: 'pantry' },
        ]);
      }));

    it('that fail their check, and empty cells, are left out and counted apart', () =>
      withArchive(async (archive) => {
        const [one, two, three] = raw(1, 3);
        sure(two)[6] = itemAt(sure(two), 6) ^ 1;
        const empty = new Uint8Array(16).fill(0xff);
        const done = await appendRecords(archive, 7, [sure(one), sure(two), sure(three), empty], NOW);
        expect(done).toEqual({ added: 2, known: 0, damaged: 1, lost: 1, newest: 3 });
      }));

    it('that contradict the archive refuse the whole reading', () =>
      withArchive(async (archive) => {
        await appendRecords(archive, 7, raw(1, 10), NOW);
        const other = encodeRecord({ ...record(10), partial: !record(10).partial });
        const reading = [other, ...raw(11, 14)];
        await expect(appendRecords(archive, 7, reading, NOW)).rejects.toMatchObject({
          fault: 'contradiction',
        });
        expect(await newestSequence(archive, 7)).toBe(10);
      }));

    it('are refused from a controller without identity', () =>
      withArchive(async (archive) => {
        await expect(appendRecords(archive, 0, raw(1, 1), NOW)).rejects.toThrow('no identity');
      }));
  });

  describe('gaps', () => {
    it('count what a wrapped ring lost, and close when it turns up', () =>
      withArchive(async (archive) => {
        expect((await appendRecords(archive, 7, raw(11, 20), NOW)).lost).toBe(10);
        expect((await appendRecords(archive, 7, raw(31, 40), NOW)).lost).toBe(10);
        expect(await gapsOf(archive, 7)).toEqual([
          { first: 1, last: 10 },
          { first: 21, last: 30 },
        ]);
        expect((await appendRecords(archive, 7, raw(24, 26), NOW)).lost).toBe(-3);
        expect(await gapsOf(archive, 7, 21)).toEqual([
          { first: 21, last: 23 },
          { first: 27, last: 30 },
        ]);
        await appendRecords(archive, 7, [...raw(1, 10), ...raw(21, 30)], NOW);
        expect(await gapsOf(archive, 7)).toEqual([]);
      }));
  });

  describe('looking back', () => {
    it('finds where a day begins and which table ran', () =>
      withArchive(async (archive) => {
        await appendRecords(archive, 7, raw(1, 100), NOW);
        const day = civilDay(FIRST_DAY + 10);
        expect(await firstSequenceFrom(archive, 7, day)).toBe(40);
        expect(await firstSequenceFrom(archive, 7, civilDay(FIRST_DAY - 50))).toBe(1);
        expect(await firstSequenceFrom(archive, 7, civilDay(FIRST_DAY + 26))).toBeUndefined();
        const tables = await tableRecordsBefore(archive, 7, 40, 2);
        expect(tables.map((r) => r.sequence)).toEqual([34, 27]);
      }));

    it('keeps the bytes of what was flashed, with its plan', () =>
      withArchive(async (archive) => {
        const { bytes } = encodeTable(TABLE);
        await rememberTable(archive, 7, bytes, NOW, 'leanward: 1\n');
        await rememberTable(archive, 7, bytes, NOW + 5);
        expect(await flashedTables(archive, 7)).toEqual([
          { crc: flashedCrc(bytes), bytes, planText: 'leanward: 1\n', storedMs: NOW },
        ]);
        await expect(rememberTable(archive, 7, bytes.subarray(1), NOW)).rejects.toThrow(
          'not a schedule table',
        );
      }));

    it('keeps which flash came to its end', () =>
      withArchive(async (archive) => {
        expect(await lastFlash(archive, 7)).toBeUndefined();
        for (const flash of [
          { hostMs: NOW, crc: 0xfffffff0 },
          { hostMs: NOW + 9, crc: 1 },
          { hostMs: NOW + 5, crc: 2 },
        ])
          await rememberFlash(archive, 7, flash);
        await rememberFlash(archive, 8, { hostMs: NOW + 20, crc: 3 });
        expect(await lastFlash(archive, 7)).toEqual({ hostMs: NOW + 9, crc: 1 });
      }));

    it('keeps the clock at each connection', () =>
      withArchive(async (archive) => {
        // 2026-02-16T00:00:00Z is second 824,515,200 from 2000 (date -u).
        const reading = {
          hostMs: 1_771_200_000_500,
          controller: utcSeconds(824_515_200),
          sub: 192,
          known: true,
          estimated: false,
          setAfter: true,
          newest: 40,
        };
        await rememberConnection(archive, 7, reading);
        await rememberConnection(archive, 7, reading);
        expect(await connectionsOf(archive, 7)).toEqual([reading]);
        expect(aheadSeconds(reading)).toBeCloseTo(0.25, 9);
      }));
  });

  describe('opening', () => {
    it('again finds everything', async () => {
      const where = place();
      const first = await openArchive(where, NOW);
      await appendRecords(first, 7, raw(1, 12), NOW);
      await first.close();
      const second = await openArchive(where, NOW);
      expect(await newestSequence(second, 7)).toBe(12);
      await second.close();
    });

    it('brings an archive of the first version up to date, and reads what its book says', async () => {
      const where = place();
      const first = await openArchive(where, NOW);
      await appendRecords(first, 7, raw(1, 12), NOW);
      // The first version's notes had the columns up to `text`, and named a bag by its place.
      for (const column of ADDED_IN_2) await first.db.schema.alterTable('notes').dropColumn(column).execute();
      // Nor did it keep which flashes came to their end: what was sent is taken to run.
      await first.db.schema.dropTable('flashes').execute();
      await first.db.schema.alterTable('corrections').dropColumn('done_day').execute();
      const { bytes } = encodeTable(TABLE);
      await rememberTable(first, 7, bytes, NOW);
      await first.db.deleteFrom('schema_version').where('version', '>', 1).execute();
      await sql`insert into notes (id, plan, batch, zone, bag, day, written_ms, kind, height_mm, why)
        values ('a', 'pantry', 'early', 'A', 'A2', ${FIRST_DAY}, 5, 'cull', 80.5, 'mould')`.execute(first.db);
      await first.close();
      const second = await openArchive(where, NOW);
      expect(await newestSequence(second, 7)).toBe(12);
      expect(await lastFlash(second, 7)).toEqual({ hostMs: NOW, crc: flashedCrc(bytes) });
      const [old] = await readNotes(second, 'pantry');
      expect(old).toMatchObject({ bag: 'A2', kind: 'cull', why: 'mould', heightMm: 80.5, day: FIRST_DAY });
      expect(old?.number).toBeUndefined();
      const written = { ...EVERYTHING, id: 'b', writtenMs: 6 };
      await writeNotes(second, [written, { ...SEALED, id: 'c', writtenMs: 7 }]);
      expect((await readNotes(second, 'pantry')).slice(1)).toEqual([
        expect.objectContaining(written),
        expect.objectContaining({ ...SEALED, id: 'c' }),
      ]);
      await second.close();
      const versions = await openArchive(where, NOW);
      const rows = await versions.db.selectFrom('schema_version').select('version').execute();
      expect(rows.map(({ version }) => Number(version)).sort()).toEqual([1, 2, 3, 4]);
      await versions.close();
    });

    it('writes all entries of the book or none', () =>
      withArchive(async (archive) => {
        const twice = [
          { ...EVERYTHING, id: 'x' },
          { ...SEALED, id: 'x' },
        ];
        await expect(writeNotes(archive, twice)).rejects.toThrow();
        expect(await readNotes(archive, 'pantry')).toEqual([]);
      }));

    it('refuses a newer archive and leaves it as it is', () =>
      withArchive(async (archive, where) => {
        await archive.db
          .insertInto('schema_version')
          .values({ version: ARCHIVE_VERSION + 1, applied_ms: NOW })
          .execute();
        await expect(openArchive(where, NOW)).rejects.toMatchObject({
          fault: 'newer',
          message: expect.stringContaining('newer Leanward'),
        });
      }));
  });
}
