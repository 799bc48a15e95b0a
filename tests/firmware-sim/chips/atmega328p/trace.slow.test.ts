/** The machine code's pins on one day of the pantry plan, second by second. */

import { describe, it } from 'vitest';
import { NAMED_DAYS, showDay } from './chip-days.ts';

const SOME = ['2026-03-29'];

describe('the pins of the chip', () => {
  it.each(NAMED_DAYS.filter(([date]) => SOME.includes(date)))('show the pantry plan on %s, when %s', showDay);
});
