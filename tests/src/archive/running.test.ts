/** Which of its tables a board runs, as far as the archive can know. */

import { describe, expect, it } from 'vitest';
import { runningTable } from '../../../src/archive/known.ts';

const table = (crc: number, storedMs: number) => ({
  ...{ crc, storedMs, bytes: new Uint8Array(), planText: undefined },
});
const A = table(1, 100);
const B = table(2, 200);
const flash = (hostMs: number, { crc }: { crc: number }) => ({ hostMs, crc });

describe('the table that runs', () => {
  it('is the one whose flash came to its end since the log was read', () => {
    const signs = { confirmed: A.crc, readMs: 150, flash: flash(201, B) };
    expect(runningTable([A, B], signs)).toEqual({ ...B, storedMs: 201 });
    expect(runningTable([A], { confirmed: undefined, readMs: undefined, flash: flash(101, A) })?.crc).toBe(1);
  });

  it('is the one before a flash that was broken off, also while the log was not read since', () => {
    const signs = { confirmed: A.crc, readMs: 150, flash: flash(101, A) };
    expect(runningTable([A, B], signs)).toEqual({ ...A, storedMs: 101 });
    expect(runningTable([A, B], { ...signs, readMs: 300 })?.crc).toBe(A.crc);
  });

  it('is the first again when it was flashed a second time, and is of that day', () => {
    const signs = { confirmed: B.crc, readMs: 250, flash: flash(300, A) };
    expect(runningTable([A, B], signs)).toEqual({ ...A, storedMs: 300 });
  });

  it('is what the log confirmed after that, by whoever', () => {
    expect(runningTable([A, B], { confirmed: B.crc, readMs: 400, flash: flash(300, A) })).toEqual(B);
  });

  it('is the newest where no confirmation is left, or of a table that is not kept', () => {
    const signs = { readMs: 300, flash: undefined };
    expect(runningTable([A, B], { ...signs, confirmed: undefined })).toBe(B);
    expect(runningTable([A, B], { ...signs, confirmed: 3 })).toBe(B);
    expect(runningTable([], { ...signs, confirmed: 3 })).toBeUndefined();
  });
});
