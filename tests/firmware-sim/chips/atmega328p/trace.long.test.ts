/** The machine code's pins over the pantry plan: one week, and twelve days on which something changes. */

import { describe, it } from 'vitest';
import { NAMED_DAYS, showDay, showWeek } from './chip-days.ts';

describe('the pins of the chip', () => {
  it('show the pantry plan for a week, second by second', () => showWeek('2026-04-27'));

  it.each(NAMED_DAYS)('show the pantry plan on %s, when %s', showDay);
});
