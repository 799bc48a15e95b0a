/**
 * The serial line of every board, lit and dark, over the end of its light and over midnight: no request is
 * lost. LEANWARD_ALL=1 asks over a whole day.
 */

import { describe, expect, it } from 'vitest';
import { BOARDS } from '../../../support/boards.ts';
import { answered } from './line.ts';

const WHOLE = process.env.LEANWARD_ALL !== undefined;
/** Seconds from one to the next: they have no common measure with a second, a minute, or a timer's turn. */
const APART = WHOLE ? 43.137_137 : 15.137_137;
const REQUESTS = Math.ceil(86_400 / 43.137_137);
/** The light ends at 20:00. */
const FROM_HOUR = WHOLE ? 7 : 17;

describe('the line, lit and dark', () => {
  it.each(Object.keys(BOARDS))('of %s answers every request', (id) => {
    expect(answered(id, REQUESTS, APART, FROM_HOUR)).toBe(REQUESTS);
  });
});
