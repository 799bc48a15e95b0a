/**
 * Archives that are damaged: bytes flipped, pages lost, the file cut short or
 * grown by rubbish.
 *
 * What must hold: every use of one either works or fails in a sentence of
 * ours, never with an error of the database; a record that is given back is
 * the one that was put in.
 */

import { copyFileSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { appendRecords, rememberController } from '../../src/archive/append.ts';
import { connectionsOf, rememberConnection } from '../../src/archive/connections.ts';
import { exportRecords } from '../../src/archive/export.ts';
import { flashedTables, rememberTable } from '../../src/archive/flashed.ts';
import { gapsOf } from '../../src/archive/gaps.ts';
import { readNotes, writeNote } from '../../src/archive/notes.ts';
import { type Archive, withArchive } from '../../src/archive/open.ts';
import { controllersOf, firstSequenceFrom, readRecords, tableRecordsBefore } from '../../src/archive/read.ts';
import { Failure } from '../../src/failure.ts';
import { DAILY } from '../firmware-sim/controller/host.ts';
import { FIRST_DAY, raw, record } from '../src/archive/records.ts';
import { type Campaign, hold } from './campaign.ts';

const NOW = 1_771_200_000_000;
const RECORDS = 400;
const PAGE = 4096;
const IDENTITY = 7;

let folder = '';
let sound = '';

async function fill(archive: Archive): Promise<void> {
  await rememberController(archive, IDENTITY, 'pantry/rack', NOW);
  await appendRecords(archive, IDENTITY, raw(1, 150), NOW);
  await appendRecords(archive, IDENTITY, raw(170, RECORDS), NOW);
  await rememberTable(archive, IDENTITY, encodeTable(DAILY).bytes, NOW, 'leanward: 1\n');
  await rememberConnection(archive, IDENTITY, {
    ...{ hostMs: NOW, controller: record(2).type === 'boot' ? 0 : 0, sub: 0, known: true, estimated: false },
    ...{ setAfter: false, newest: RECORDS },
  } as Parameters<typeof rememberConnection>[2]);
  const common = { plan: 'pantry', batch: 'first', zone: 'A', bag: 'A1', day: FIRST_DAY, writtenMs: NOW };
  await writeNote(archive, { ...common, id: 'one', kind: 'note', why: undefined, text: 'a word' });
}

/** Damages a copy, by chance in one of six ways. */
function damage(bytes: Buffer, chance: Chance): Buffer {
  const at = draw(chance, bytes.length);
  const page = PAGE * draw(chance, Math.floor(bytes.length / PAGE));
  switch (draw(chance, 6)) {
    case 0:
      return bytes.subarray(0, at);
    case 1:
      return bytes.fill(0, page, page + PAGE);
    case 2:
      return bytes.fill(draw(chance, 256), page, page + PAGE);
    case 3:
      return Buffer.concat([bytes, bytes.subarray(at)]);
    case 4:
      for (let flip = 0; flip <= draw(chance, 200); flip++)
        bytes[draw(chance, bytes.length)] = draw(chance, 256);
      return bytes;
    default:
      // The head: where the file's shape and the tables' definitions lie.
      for (let flip = 0; flip <= draw(chance, 3); flip++) bytes[draw(chance, 2 * PAGE)] = draw(chance, 256);
      return bytes;
  }
}

/** Uses of an archive as the commands make them. */
const USES: readonly ((archive: Archive) => Promise<unknown>)[] = [
  async (archive) => {
    for await (const found of readRecords(archive, IDENTITY)) {
      const same = JSON.stringify(found) === JSON.stringify(record(found.sequence));
      hold(same, () => `record ${found.sequence} came back as ${JSON.stringify(found)}`);
    }
  },
  (archive) => appendRecords(archive, IDENTITY, raw(RECORDS - 20, RECORDS + 20), NOW),
  (archive) => exportRecords(archive, 'csv', join(folder, 'out.csv')),
  (archive) => exportRecords(archive, 'parquet', join(folder, 'out.parquet')),
  (archive) => readNotes(archive, 'pantry'),
  (archive) => flashedTables(archive, IDENTITY),
  (archive) => gapsOf(archive, IDENTITY),
  (archive) => connectionsOf(archive, IDENTITY),
  (archive) => controllersOf(archive),
  (archive) => firstSequenceFrom(archive, IDENTITY, FIRST_DAY),
  (archive) => tableRecordsBefore(archive, IDENTITY, RECORDS, 64),
];

/** Any failure in words will do; anything else is a finding. */
async function inWordsOrNot(act: () => Promise<unknown>): Promise<void> {
  try {
    await act();
  } catch (error) {
    if (!(error instanceof Failure)) throw error;
    hold(/^.*[.)]$/s.test(error.message), `not a sentence: ${error.message}`);
  }
}

export const archives: Campaign = {
  name: 'archives',
  about: 'damaged archives: used as ever, or refused in a sentence; no record comes back as another',
  unit: 'archives',
  share: 1,
  least: 500,
  slice: 40,
  async prepare() {
    folder = mkdtempSync(join(tmpdir(), 'leanward-campaign-'));
    sound = join(folder, 'sound.sqlite');
    await withArchive(sound, NOW, fill);
    return async () => rmSync(folder, { recursive: true, force: true });
  },
  async run(chance) {
    const place = join(folder, 'damaged.sqlite');
    copyFileSync(sound, place);
    writeFileSync(place, damage(readFileSync(place), chance));
    for (const use of USES) await inWordsOrNot(() => withArchive(place, NOW, use));
    rmSync(place, { force: true });
    rmSync(`${place}-journal`, { force: true });
    return 1;
  },
};
