/**
 * The serial line of every board: whatever a board's timers do beside it, no
 * request is lost.
 */

import { describe, expect, it } from 'vitest';
import { BOARDS } from '../../../support/boards.ts';
import { answered } from './line.ts';

const REQUESTS = 200;

describe('the line', () => {
  it.each(Object.keys(BOARDS))('of %s answers every request', (id) => {
    expect(answered(id, REQUESTS, 0.37)).toBe(REQUESTS);
  });
});
