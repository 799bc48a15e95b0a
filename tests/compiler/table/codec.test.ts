import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../shared/assert.ts';
import { crc8, crc16, crc32 } from '../../../shared/crc.ts';
import type { Table } from '../../../shared/table.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { anyTable } from './any-table.ts';

const digits = new TextEncoder().encode('123456789');

describe('check values over "123456789" (catalogue of parametrised CRC algorithms)', () => {
  it('CRC-32/ISO-HDLC', () => expect(crc32(digits)).toBe(0xcbf43926));
  it('CRC-16/MODBUS', () => expect(crc16(digits)).toBe(0x4b37));
  it('CRC-8/MAXIM-DOW', () => expect(crc8(digits)).toBe(0xa1));
});

describe('the schedule table', () => {
  it('round-trips', () => {
    fc.assert(
      fc.property(anyTable, (table: Table) => {
        const decoded = decodeTable(encodeTable(table).bytes);
        expect(decoded).toEqual({ ok: true, table });
      }),
      { numRuns: 300 },
    );
  });

  it('has every byte in exactly one field of the listing', () => {
    fc.assert(
      fc.property(anyTable, (table) => {
        const { bytes, fields } = encodeTable(table);
        expect(fields.flatMap((field) => [...field.bytes])).toEqual([...bytes]);
      }),
      { numRuns: 50 },
    );
  });

  it('detects every flipped bit', () => {
    fc.assert(
      fc.property(anyTable, (table) => {
        const { bytes } = encodeTable(table);
        for (let bit = 0; bit < bytes.length * 8; bit++) {
          const bad = Uint8Array.from(bytes);
          bad[bit >> 3] = itemAt(bad, bit >> 3) ^ (1 << (bit & 7));
          expect(decodeTable(bad).ok).toBe(false);
        }
      }),
      { numRuns: 10 },
    );
  });

  it('refuses a newer version, and says so', () => {
    const { bytes } = encodeTable(itemAt(fc.sample(anyTable, { numRuns: 1, seed: 7 }), 0));
    const newer = Uint8Array.from(bytes);
    newer[2] = 2;
    const crc = crc32(newer.subarray(0, newer.length - 4));
    new DataView(newer.buffer).setUint32(newer.length - 4, crc, true);
    expect(decodeTable(newer)).toEqual({ ok: false, why: 'newer version' });
  });

  it('never throws on any bytes, sealed or not', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 460 }), fc.boolean(), (bytes, seal) => {
        const body = seal && bytes.length >= 15 ? sealed(bytes) : bytes;
        expect(typeof decodeTable(body).ok).toBe('boolean');
      }),
      { numRuns: 2000 },
    );
  });
});

/** Random contents in a right frame, so that the sections themselves are reached. */
function sealed(bytes: Uint8Array): Uint8Array {
  const table = Uint8Array.from(bytes.subarray(0, 440));
  table.set([0x4c, 0x57, 1, table.length & 0xff, table.length >> 8]);
  new DataView(table.buffer).setUint32(table.length - 4, crc32(table.subarray(0, table.length - 4)), true);
  return table;
}
