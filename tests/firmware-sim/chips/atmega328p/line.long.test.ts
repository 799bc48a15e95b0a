/** The serial line of every board over a whole day, dark and lit: no request is lost. */

import { describe, expect, it } from 'vitest';
import { BOARDS } from '../../../support/boards.ts';
import { answered } from './line.ts';

/** Their distance has no common measure with a second, a minute, or a timer's turn. */
const APART = 43.137_137;
const REQUESTS = Math.ceil(86_400 / APART);

describe('the line, over a day', () => {
  it.each(Object.keys(BOARDS))('of %s answers every request', (id) => {
    expect(answered(id, REQUESTS, APART)).toBe(REQUESTS);
  });
});
