/** Which of its tables a board runs, as far as the archive can know. */

import { describe, expect, it } from 'vitest';
import { runningTable } from '../../../src/archive/known.ts';

const table = (crc: number, storedMs: number) => ({
  ...{ crc, storedMs, bytes: new Uint8Array(), planText: undefined },
});
const A = table(1, 100);
const B = table(2, 200);

describe('the table that runs', () => {
  it('is the first again when it was flashed a second time and the log has confirmed it', () => {
    expect(runningTable([A, B], A.crc, 300)).toBe(A);
  });

  it('is the one before a flash that was broken off, once the log is read', () => {
    expect(runningTable([A, B], A.crc, 200)).toBe(A);
    expect(runningTable([A, B], B.crc, 300)).toBe(B);
  });

  it('is the one flashed since the log was read', () => {
    expect(runningTable([A, B], A.crc, 150)).toBe(B);
    expect(runningTable([A], undefined, undefined)).toBe(A);
  });

  it('is the newest where no confirmation is left, or of a table that is not kept', () => {
    expect(runningTable([A, B], undefined, 300)).toBe(B);
    expect(runningTable([A, B], 3, 300)).toBe(B);
    expect(runningTable([], 3, 300)).toBeUndefined();
  });
});
