/** Intel's hexadecimal object file format (specification of 1988, its record types; from memory). */

import { describe, expect, it } from 'vitest';
import { programWith, readHex } from '../../../../firmware-sim/chips/atmega328p/hex.ts';

/** A record: count, address, type, data, and the two's complement of their sum. */
function record(address: number, type: number, ...data: number[]): string {
  const bytes = [data.length, address >> 8, address & 0xff, type, ...data];
  const sum = bytes.reduce((total, byte) => total + byte, 0);
  const all = [...bytes, -sum & 0xff];
  return `:${all.map((byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join('')}`;
}

const END = ':00000001FF';

describe('an Intel HEX file', () => {
  it('has data records as widely printed: :0300300002337A1E (from memory)', () => {
    expect(record(0x30, 0, 0x02, 0x33, 0x7a)).toBe(':0300300002337A1E');
    const words = readHex(`:0300300002337A1E\r\n${END}\r\n`);
    expect([...words.subarray(0x17, 0x1b)]).toEqual([0xffff, 0x3302, 0xff7a, 0xffff]);
    expect(words).toHaveLength(16_384);
  });

  it('places data by segment and by linear base, and ends at its end record', () => {
    const bySegment = readHex([record(0, 2, 0x01, 0x00), record(4, 0, 0x11, 0x22), END].join('\n'));
    expect(bySegment[(0x0100 * 16 + 4) / 2]).toBe(0x2211);
    const byLinear = readHex([record(0, 4, 0, 0), record(2, 0, 0x33, 0x44), END].join('\n'));
    expect(byLinear[1]).toBe(0x4433);
    const ended = readHex([record(0, 0, 1, 2), END, record(0, 0, 3, 4)].join('\n'));
    expect(ended[0]).toBe(0x0201);
    // The start of a program (types 3 and 5) means nothing to a chip that begins at its reset.
    expect(readHex([record(0, 5, 0, 0, 0, 0), record(0, 0, 1, 2), END].join('\n'))[0]).toBe(0x0201);
  });

  it.each([
    ['a wrong sum', ':0300300002337A1F'],
    ['no colon', '0300300002337A1E'],
    ['too few bytes', ':0300300002331E'],
    ['words', 'leanward: 1'],
  ])('is none with %s', (_, text) => {
    expect(() => readHex(`${text}\n${END}`)).toThrow('not an Intel HEX file');
  });

  it('is no larger than the chip: 32,768 bytes', () => {
    expect(readHex(record(0x7ffe, 0, 1, 2)).at(-1)).toBe(0x0201);
    expect(() => readHex(record(0x7fff, 0, 1, 2))).toThrow('larger than the chip');
    expect(() => readHex([record(0, 4, 0, 1), record(0, 0, 1)].join('\n'))).toThrow('larger than the chip');
  });

  it('stands beside a bootloader, at whose first word a reset begins', () => {
    const image = [record(0, 0, 1, 2, 3, 4), END].join('\n');
    expect(programWith(image, undefined)).toEqual({ words: readHex(image), begin: 0 });
    const { words, begin } = programWith(image, [record(0x7e00, 0, 5, 6), END].join('\n'));
    expect([words[0], words[1], words[0x3f00], begin]).toEqual([0x0201, 0x0403, 0x0605, 0x3f00]);
  });
});
