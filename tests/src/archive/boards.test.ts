/** What the archive knows of a plan's boards without reading their records: who was met last, what it runs. */

import { afterEach, beforeEach, describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { crc32 } from '../../../shared/crc.ts';
import { encodeRecord, type LogBody } from '../../../shared/log.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { appendRecords, rememberController } from '../../../src/archive/append.ts';
import { rememberConnection } from '../../../src/archive/connections.ts';
import { flashedCrc, rememberFlash, rememberTable } from '../../../src/archive/flashed.ts';
import { knownBoards, lastMs, unreadOf } from '../../../src/archive/known.ts';
import { type Archive, openArchive } from '../../../src/archive/open.ts';
import { emptyTable } from '../../support/empty-table.ts';

let archive: Archive;
beforeEach(async () => {
  archive = await openArchive(':memory:', 0);
});
afterEach(() => archive.close());

const TABLES = [9500, 9600, 9700].map((day) => encodeTable(emptyTable(day)).bytes);
const crcOf = (table: number): number => flashedCrc(itemAt(TABLES, table));

/** The board's clock was read at a time of the host's, when it had so many records. */
const met = (identity: number, hostMs: number, newest: number): Promise<void> =>
  rememberConnection(archive, identity, {
    ...{ hostMs, controller: utcSeconds(8e8), sub: 0, known: true, estimated: false, setAfter: false },
    newest,
  });

const keep = (identity: number, table: number, ms: number): Promise<void> =>
  rememberTable(archive, identity, itemAt(TABLES, table), ms);

/** Puts records of tables into a board's log, from number 1 on. */
async function log(identity: number, ...what: [LogBody['type'] & `${string}ed`, table: number][]) {
  const records = what.map(([type, table], at) =>
    encodeRecord({
      ...{ sequence: at + 1, partial: false, estimated: false },
      ...({ type, time: utcSeconds(8e8 + at), crc: crcOf(table), tableSequence: 1, slot: 0 } as LogBody),
    }),
  );
  await appendRecords(archive, identity, records, 0);
}

describe('the boards under a name of a plan', () => {
  it('come in the order in which they were met, by a reading or by a flash', async () => {
    for (const identity of [1, 2, 3]) await rememberController(archive, identity, 'pantry/rack', 0);
    await rememberController(archive, 4, 'pantry/shed', 0);
    await rememberController(archive, 5, 'attic/rack', 0);
    await met(1, 900, 0);
    await met(1, 500, 0);
    await met(2, 300, 0);
    await keep(3, 0, 700);
    const boards = await knownBoards(archive, 'pantry', 'rack');
    expect(boards.map(({ identity }) => identity)).toEqual([2, 3, 1]);
    expect(boards.map(lastMs)).toEqual([300, 700, 900]);
    expect(await knownBoards(archive, 'pantry', 'cellar')).toEqual([]);
  });

  it('that were named and never met come first, at no time', async () => {
    await rememberController(archive, 1, 'pantry/rack', 0);
    const [board] = await knownBoards(archive, 'pantry', 'rack');
    expect(board).toEqual({ identity: 1, newest: 0, met: undefined, tables: [], running: undefined });
    expect(lastMs(sure(board))).toBe(0);
    expect(unreadOf(sure(board))).toBe(0);
  });

  it('have so many records unread as they had more, when met last, than are kept', async () => {
    await rememberController(archive, 1, 'pantry/rack', 0);
    await log(1, ['committed', 0], ['confirmed', 0]);
    await met(1, 500, 7);
    const unread = async (): Promise<number> =>
      unreadOf(itemAt(await knownBoards(archive, 'pantry', 'rack'), 0));
    expect(await unread()).toBe(5);
    // Met when it had none yet, and read since.
    await met(1, 600, 0);
    expect(await unread()).toBe(0);
  });

  it('run the table that their log confirmed last, whichever was tried since', async () => {
    await rememberController(archive, 1, 'pantry/rack', 0);
    for (const table of [0, 1, 2]) await keep(1, table, table);
    await log(1, ['committed', 0], ['confirmed', 0], ['committed', 1], ['confirmed', 1], ['committed', 2]);
    const running = async () => itemAt(await knownBoards(archive, 'pantry', 'rack'), 0).running?.crc;
    expect(await running()).toBe(crcOf(1));
    // A flash that came to its end since, which the log does not tell of yet.
    await rememberFlash(archive, 1, { hostMs: 900, crc: crcOf(2) });
    expect(await running()).toBe(crcOf(2));
    await met(1, 950, 5);
    expect(await running()).toBe(crcOf(1));
  });
});

describe('a table that was flashed', () => {
  it('is known by the CRC-32 of all before its last four bytes (table-format.md)', () => {
    for (const table of TABLES) expect(flashedCrc(table)).toBe(crc32(table.subarray(0, -4)));
    const within = new Uint8Array([9, 9, ...itemAt(TABLES, 1)]).subarray(2);
    expect(flashedCrc(within)).toBe(crcOf(1));
  });
});
