/** What a table says besides light and visits: the longest-on limit, the room's band, the first day. */

import { describe, expect, it } from 'vitest';
import { compilePlan } from '../../../compiler/compile.ts';
import { itemAt } from '../../../shared/assert.ts';
import { dayFromIso } from '../../../shared/civil.ts';
import { decodeTable } from '../../../shared/table-decode.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';

function table(change: (text: string) => string = (text) => text) {
  const { tables } = compilePlan(change(samplePlan('pantry')), { boards: BOARDS });
  const decoded = decodeTable(itemAt(tables, 0).encoded.bytes);
  if (!decoded.ok) throw new Error(decoded.why);
  return decoded.table;
}

describe('the pantry table', () => {
  it('lets a lamp burn two hours longer than its longest day, 12 h', () => {
    expect(table().limits?.longestOnMinutes).toBe(14 * 60);
  });

  it('counts light as unbroken only where it is', () => {
    // Climb from 08:00 to 20:00 each day: seven days of it in turn are not one long stretch.
    const longer = table((text) => text.replace('days: 14, photoperiod: 8 h', 'days: 14, photoperiod: 17 h'));
    expect(longer.limits?.longestOnMinutes).toBe(19 * 60);
  });

  it('has no such limit where a lamp burns round the clock', () => {
    const always = table((text) => text.replace('days: 14, photoperiod: 8 h', 'days: 14, photoperiod: 24 h'));
    // The relays' dwell stays (board.json of mega328-relay8).
    expect(always.limits).toEqual({ dwellSeconds: 3, longestOnMinutes: 0 });
  });

  it("carries the room's band in sixteenths of a degree: 21 C and 27 C", () => {
    expect(table().room).toEqual({ low: 336, high: 432 });
  });

  it('counts its days from the day before the first sealing', () => {
    expect(table().baseDay).toBe(dayFromIso('2026-02-15'));
  });
});
