/**
 * The machine code's pins over the pantry plan: two days on end with a turn among them, a week with
 * LEANWARD_ALL=1, and twelve days on which something changes.
 */

import { describe, it } from 'vitest';
import { NAMED_DAYS, showDay, showDays } from './chip-days.ts';

const DAYS = process.env.LEANWARD_ALL ? 7 : 2;

describe('the pins of the chip', () => {
  it(`show the pantry plan for ${DAYS} days on end, second by second`, () => showDays('2026-04-26', DAYS));

  it.each(NAMED_DAYS)('show the pantry plan on %s, when %s', showDay);
});
