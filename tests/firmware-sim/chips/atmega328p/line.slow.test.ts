/**
 * The serial line of every board: whatever a board's timers do beside it, no
 * request is lost.
 */

import { describe, expect, it } from 'vitest';
import { BOARDS } from '../../../support/boards.ts';
import { ask } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const REQUESTS = 200;
const STATUS = [4, 0, 0, 0, 42];

/** How many of `requests` status reads, `apart` seconds from one to the next, are answered. */
function answered(id: string, requests: number, apart: number): number {
  const device = chip({ id });
  device.run(12 * SECOND);
  let answers = 0;
  for (let request = 0; request < requests; request++) {
    device.run(device.micros + apart * SECOND);
    if (ask(device, STATUS)?.length === 2 + 2 * 42) answers++;
  }
  return answers;
}

describe('the line', () => {
  it.each(Object.keys(BOARDS))('of %s answers every request', (id) => {
    expect(answered(id, REQUESTS, 0.37)).toBe(REQUESTS);
  });
});
