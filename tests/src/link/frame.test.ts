import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { itemAt, sure } from '../../../shared/assert.ts';
import { expectReply, findReply } from '../../../src/link/frame.ts';
import { frame } from './responder.ts';

/** Request and reply pairs of the Modbus application protocol's worked examples (from memory), as RTU frames. */
const EXAMPLES = [
  { name: '01 read coils 20–38', request: [1, 0x00, 0x13, 0x00, 0x13], reply: [1, 3, 0xcd, 0x6b, 0x05] },
  {
    name: '03 read registers 108–110',
    request: [3, 0x00, 0x6b, 0x00, 0x03],
    reply: [3, 6, 0x02, 0x2b, 0, 0, 0, 0x64],
  },
  { name: '04 read input register 9', request: [4, 0x00, 0x08, 0x00, 0x01], reply: [4, 2, 0x00, 0x0a] },
  { name: '05 write coil 173', request: [5, 0x00, 0xac, 0xff, 0x00], reply: [5, 0x00, 0xac, 0xff, 0x00] },
  { name: '06 write register 2', request: [6, 0x00, 0x01, 0x00, 0x03], reply: [6, 0x00, 0x01, 0x00, 0x03] },
  {
    name: '0F write coils 20–29',
    request: [15, 0x00, 0x13, 0x00, 0x0a, 2, 0xcd, 1],
    reply: [15, 0x00, 0x13, 0x00, 0x0a],
  },
  {
    name: '10 write registers 2–3',
    request: [16, 0x00, 0x01, 0x00, 0x02, 4, 0, 10, 1, 2],
    reply: [16, 0, 1, 0, 2],
  },
] as const;

const UNIT = 17;

describe('replies to requests', () => {
  it.each(EXAMPLES)('finds the reply to $name', ({ request, reply }) => {
    const expected = sure(expectReply(frame(UNIT, ...request)));
    const bytes = frame(UNIT, ...reply);
    expect(findReply(bytes, expected)).toEqual(bytes);
    expect(findReply(bytes.subarray(0, bytes.length - 1), expected)).toBeUndefined();
  });

  it('has a known frame with a known CRC: 11 03 00 6B 00 03 76 87 (from memory, widely printed)', () => {
    expect(frame(0x11, 3, 0, 0x6b, 0, 3)).toEqual(Uint8Array.of(0x11, 3, 0, 0x6b, 0, 3, 0x76, 0x87));
  });

  it('finds an exception, and ends an identification where its objects end', () => {
    const expected = sure(expectReply(frame(UNIT, 43, 14, 1, 0)));
    const refusal = frame(UNIT, 43 | 0x80, 1);
    expect(findReply(refusal, expected)).toEqual(refusal);
    const answer = frame(UNIT, 43, 14, 1, 0x81, 0, 0, 2, 0, 2, 65, 66, 1, 0);
    expect(findReply(Buffer.concat([answer, Uint8Array.of(9, 9)]), expected)).toEqual(answer);
  });

  it('refuses an identification by another read code, or of another kind (protocol.md: 43/14)', () => {
    const expected = sure(expectReply(frame(UNIT, 43, 14, 1, 0)));
    const object = [0x81, 0, 0, 1, 0, 1, 65];
    expect(findReply(frame(UNIT, 43, 14, 1, ...object), expected)).toBeDefined();
    expect(findReply(frame(UNIT, 43, 14, 4, ...object), expected)).toBeUndefined();
    expect(findReply(frame(UNIT, 43, 13, 1, ...object), expected)).toBeUndefined();
  });

  it('waits for the whole of an identification, wherever it is cut', () => {
    const expected = sure(expectReply(frame(UNIT, 43, 14, 1, 0)));
    const answer = frame(UNIT, 43, 14, 1, 0x81, 0, 0, 2, 0, 2, 65, 66, 1, 1, 67);
    for (let length = 0; length < answer.length; length++)
      expect(findReply(answer.subarray(0, length), expected)).toBeUndefined();
    expect(findReply(answer, expected)).toEqual(answer);
  });

  it.each([
    // A byte holds eight coils; a read may ask for 2,000 of them, or for 125 registers (Modbus).
    [1, 9, 2],
    [2, 2000, 250],
    [3, 125, 250],
    [4, 2, 4],
  ])('of function %i for %i is a block of %i bytes', (code, count, bytes) => {
    const expected = sure(expectReply(frame(UNIT, code, 0, 0, count >> 8, count & 0xff)));
    const reply = (length: number) => frame(UNIT, code, length, ...new Array(length).fill(7));
    expect(findReply(reply(bytes), expected)).toEqual(reply(bytes));
    expect(findReply(reply(bytes - 1), expected)).toBeUndefined();
    expect(findReply(reply(bytes + 1), expected)).toBeUndefined();
  });

  it('expects nothing after a broadcast', () => {
    expect(expectReply(frame(0, 16, 1, 0x40, 0, 3, 6, 0, 0, 0, 0, 0, 0))).toBeUndefined();
  });

  it('refuses the echo of another write, another length, another unit, another function', () => {
    const expected = sure(expectReply(frame(UNIT, 16, 0x20, 0x10, 0, 2, 4, 1, 2, 3, 4)));
    expect(findReply(frame(UNIT, 16, 0x20, 0x00, 0, 2), expected)).toBeUndefined();
    expect(findReply(frame(UNIT, 16, 0x20, 0x10, 0, 1), expected)).toBeUndefined();
    expect(findReply(frame(UNIT + 1, 16, 0x20, 0x10, 0, 2), expected)).toBeUndefined();
    const block = sure(expectReply(frame(UNIT, 4, 0, 0, 0, 3)));
    expect(findReply(frame(UNIT, 4, 4, 1, 2, 3, 4), block)).toBeUndefined();
    // What another function would answer, of the right length.
    expect(findReply(frame(UNIT, 3, 6, 1, 2, 3, 4, 5, 6), block)).toBeUndefined();
  });

  it('finds the frame behind noise, in any pieces, and never a damaged one', () => {
    const expected = sure(expectReply(frame(UNIT, 4, 0, 8, 0, 1)));
    const reply = frame(UNIT, 4, 2, 0, 10);
    const noise = fc.uint8Array({ maxLength: 20 });
    fc.assert(
      fc.property(noise, noise, fc.nat({ max: 8 * reply.length - 1 }), (before, after, bit) => {
        expect(findReply(Buffer.concat([before, reply, after]), expected)).toEqual(reply);
        const bad = Uint8Array.from(reply);
        bad[bit >> 3] = itemAt(bad, bit >> 3) ^ (1 << (bit & 7));
        expect(findReply(bad, expected)).toBeUndefined();
      }),
      { numRuns: 200 },
    );
  });
});
