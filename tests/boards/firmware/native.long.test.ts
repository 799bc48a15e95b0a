/**
 * The core as a native program under address and undefined-behaviour
 * sanitizers: damaged tables, random frames, broken memories. Any finding ends
 * the program with an error.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import fc from 'fast-check';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { crc16, crc32 } from '../../../shared/crc.ts';
import { markBytes } from '../../../shared/storage.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { START } from '../../firmware-sim/controller/host.ts';
import { hex } from '../../firmware-sim/controller/vectors.ts';
import { needs } from '../../support/needs.ts';
import { scriptTable } from './script.ts';

const FIRMWARE = new URL('../../../boards/firmware/', import.meta.url);

function framed(bytes: number[]): string {
  const crc = crc16(Uint8Array.from(bytes));
  return hex([...bytes, crc & 0xff, crc >> 8]);
}

/** A frame that is right but for what it asks. */
const request = fc
  .record({
    code: fc.constantFrom(1, 3, 4, 5, 6, 15, 16, 43, 99),
    address: fc.oneof(
      fc.constantFrom(0, 0x0100, 0x0110, 0x0120, 0x0140, 0x0160, 0x0172, 0x1000, 0x2000, 0x4000, 0xbfff),
      fc.integer({ min: 0, max: 0xffff }),
    ),
    count: fc.oneof(fc.integer({ min: 0, max: 16 }), fc.integer({ min: 0, max: 0xffff })),
    data: fc.array(fc.integer({ min: 0, max: 255 }), { maxLength: 36 }),
  })
  .map(({ code, address, count, data }) => {
    const head = [1, code, address >> 8, address & 0xff, count >> 8, count & 0xff];
    return `send ${framed(code < 7 ? head : [...head, data.length, ...data])}`;
  });

const noise = fc
  .array(fc.integer({ min: 0, max: 255 }), { minLength: 1, maxLength: 300 })
  .map((bytes) => `send ${hex(bytes)}`);

const deed = fc.oneof(
  { weight: 6, arbitrary: request },
  noise,
  fc.integer({ min: 1, max: 20_000 }).map((count) => `seconds ${count}`),
  fc.integer({ min: 1, max: 300 }).map((count) => `silent ${count}`),
  fc.constantFrom('start 1', 'start 3', 'start 4', 'press short', 'press long', 'parts 0 1', 'parts 1 0'),
  fc.constantFrom('parts 1 1', 'probe none', 'probe -400', 'probe 400', 'supply 4300', 'supply 5000'),
  fc.integer({ min: 0, max: 0xffffffff }).map((second) => `clock ${second}`),
  fc.constantFrom('stopped 1', 'stopped 0'),
);

/** A sealed, confirmed slot with a table in which some bytes are wrong, its CRC right again. */
const slot = fc
  .tuple(scriptTable, fc.array(fc.tuple(fc.nat(), fc.integer({ min: 0, max: 255 })), { maxLength: 3 }))
  .map(([table, flips]) => {
    const bytes = Uint8Array.from(encodeTable(table).bytes);
    for (const [at, value] of flips) bytes[11 + (at % (bytes.length - 15))] = value;
    new DataView(bytes.buffer).setUint32(bytes.length - 4, crc32(bytes.subarray(0, -4)), true);
    return hex([0xff, 0xa5, 0x5a, ...markBytes(1, bytes.length), ...bytes]);
  });

needs(['make', 'gcc'], 'the core under sanitizers', () => {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-native-'));
  const program = join(folder, 'native');
  beforeAll(() => {
    execFileSync('make', ['-s', `OUT=${folder}`, program], { cwd: FIRMWARE, stdio: 'pipe' });
  });
  afterAll(() => rmSync(folder, { recursive: true, force: true }));

  const run = (lines: readonly string[]): string =>
    execFileSync(program, { input: `${lines.join('\n')}\n`, encoding: 'utf8', stdio: 'pipe' });

  it('finds nothing in 60 random courses over damaged tables', () => {
    fc.assert(
      fc.property(slot, fc.array(deed, { minLength: 5, maxLength: 40 }), (bytes, deeds) => {
        const output = run([
          `eeprom 0 ${bytes}`,
          `clock ${9500 * 86_400}`,
          'start 1',
          ...deeds,
          'seconds 200',
        ]);
        expect(output).toContain('log ');
      }),
      { numRuns: 60, endOnFailure: true },
    );
  });

  it('answers with a right CRC', () => {
    const lines = run([
      `clock ${START}`,
      'start 1',
      'seconds 5',
      `send ${framed([1, 4, 0, 0, 0, 42])}`,
    ]).split('\n');
    expect(crc16(Uint8Array.from(Buffer.from(itemAt(lines, 0), 'hex')))).toBe(0);
  });
});
