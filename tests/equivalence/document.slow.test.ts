/**
 * Schedule tables as a reader sees them that was written from
 * `shared/table-format.md` alone, in another language (`table_from_document.py`):
 * every change of every output, and which bytes are no table at all.
 */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { compilePlan } from '../../compiler/compile.ts';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt } from '../../shared/assert.ts';
import { crc32 } from '../../shared/crc.ts';
import { TABLE_MAX_BYTES } from '../../shared/table.ts';
import { decodeTable } from '../../shared/table-decode.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { coreWith } from '../boards/firmware/core-table.ts';
import { anyTable } from '../compiler/table/any-table.ts';
import { hex } from '../firmware-sim/controller/vectors.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { needs } from '../support/needs.ts';
import { askPython } from '../support/python.ts';
import { RANDOM_FILES, randomPlan } from './random-plan.ts';

const DAY = 86_400;
const READER = 'tests/equivalence/table_from_document.py';
const SAMPLES = ['smallest', 'pantry', 'pantry-open', 'wire-rack'];

interface Question {
  readonly table: string;
  readonly from: number;
  readonly until: number;
}

interface Answer {
  readonly ok: boolean;
  readonly changes?: readonly (readonly [number, string])[];
}

function tablesOf(text: string): Uint8Array[] {
  return compilePlan(text, { boards: BOARDS, photometry: RANDOM_FILES, advise: false }).tables.map(
    ({ encoded }) => encoded.bytes,
  );
}

/** From two days before the base day on, for so many days. */
function question(bytes: Uint8Array, days: number): Question {
  const from = Math.max(0, (itemAt(bytes, 5) | (itemAt(bytes, 6) << 8)) - 2) * DAY;
  return { table: hex(bytes), from, until: from + days * DAY };
}

function changesOf(bytes: Uint8Array, { from, until }: Question): [number, string][] {
  return [...traceTable(bytes, from, until)].map(({ utc, levels }) => [utc, hex(levels)]);
}

/** Both readers' changes of some tables; how many there were. */
function agree(tables: readonly Uint8Array[], days: number): number {
  const questions = tables.map((bytes) => question(bytes, days));
  const answers = askPython<Question, Answer>(READER, questions);
  const counts = tables.map((bytes, at) => {
    const changes = changesOf(bytes, itemAt(questions, at));
    const { ok, changes: other } = itemAt(answers, at);
    if (!ok || JSON.stringify(changes) !== JSON.stringify(other)) {
      expect({ table: hex(bytes), ok, changes: other }).toEqual({ table: hex(bytes), ok: true, changes });
    }
    return changes.length;
  });
  return counts.reduce((sum, count) => sum + count, 0);
}

/** The bytes with a fresh length field and CRC, so that the contents decide. */
function sealed(bytes: readonly number[]): Uint8Array {
  const whole = Uint8Array.from([...bytes.slice(0, -4), 0, 0, 0, 0]);
  const view = new DataView(whole.buffer);
  view.setUint16(3, whole.length, true);
  view.setUint32(whole.length - 4, crc32(whole.subarray(0, -4)), true);
  return whole;
}

/** A table with some bytes changed, put in or taken out; most are sealed afresh. */
const damaged = fc
  .tuple(
    anyTable,
    fc.array(
      fc.record({
        at: fc.nat(),
        what: fc.constantFrom('set', 'set', 'flip', 'flip', 'insert', 'remove'),
        value: fc.integer({ min: 0, max: 255 }),
      }),
      { minLength: 1, maxLength: 3 },
    ),
    fc.integer({ min: 0, max: 9 }),
  )
  .map(([table, changes, seal]) => {
    const bytes = [...encodeTable(table).bytes];
    for (const { at, what, value } of changes) {
      const place = 11 + (at % Math.max(1, bytes.length - 15));
      if (what === 'insert') bytes.splice(place, 0, value);
      else if (what === 'remove') bytes.splice(place, 1);
      else bytes[place] = what === 'set' ? value : itemAt(bytes, place) ^ (1 << (value & 7));
    }
    return seal === 0 ? Uint8Array.from(bytes) : sealed(bytes);
  });

needs(['python3-zlib'], 'a reader written from the document alone', () => {
  it('gives every change of every sample', () => {
    expect(
      agree(
        SAMPLES.flatMap((name) => tablesOf(samplePlan(name))),
        260,
      ),
    ).toBeGreaterThan(2000);
  });

  it('gives every change of 100 random plans', () => {
    expect(agree(fc.sample(randomPlan, 100).flatMap(tablesOf), 90)).toBeGreaterThan(2500);
  });

  it('gives every change of 60 tables of any contents', () => {
    const tables = fc.sample(anyTable, 90).map((table) => encodeTable(table).bytes);
    const fit = tables.filter(({ length }) => length <= TABLE_MAX_BYTES).slice(0, 60);
    expect(agree(fit, 40)).toBeGreaterThan(1000);
  });

  it('takes and refuses 600 damaged tables as the TypeScript and C readers do', () => {
    const { open } = coreWith();
    const tables = fc.sample(damaged, 600);
    const answers = askPython<{ table: string }, Answer>(
      READER,
      tables.map((bytes) => ({ table: hex(bytes) })),
    );
    const taken = tables.filter((bytes, at) => {
      const { ok } = decodeTable(bytes);
      const fits = bytes.length <= TABLE_MAX_BYTES;
      const readers = { document: itemAt(answers, at).ok, core: fits && open(bytes) };
      if (readers.document !== ok || readers.core !== ok) {
        expect({ table: hex(bytes), ...readers }).toEqual({ table: hex(bytes), document: ok, core: ok });
      }
      return ok;
    });
    expect(taken.length).toBeGreaterThan(60);
    expect(tables.length - taken.length).toBeGreaterThan(150);
  });
});
