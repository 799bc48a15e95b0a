/** Three boards on one pair, with a stranger's traffic between and gaps down to the standard's 1.75 ms. */

import { expect, it } from 'vitest';
import { FRAME_SILENCE_MICROS } from '../../../../shared/registers.ts';
import { BOARDS } from '../../../support/boards.ts';
import { askOnOnePair } from '../../shared-line.ts';
import { chip } from './chip.ts';

/** LEANWARD_REQUESTS=10000 asks for as many as were asked when the line was made so. */
const REQUESTS = Number(process.env.LEANWARD_REQUESTS ?? 1000);

it(`of ${REQUESTS} requests at least 99.9 % are answered, none by the wrong unit, none too soon`, () => {
  const ids = Object.keys(BOARDS);
  let made = 0;
  const { answered, wrong, soonestMicros } = askOnOnePair(
    () => chip({ id: ids[made++ % ids.length] ?? '' }),
    REQUESTS,
    11,
  );
  expect(answered).toBeGreaterThanOrEqual(0.999 * REQUESTS);
  expect(wrong).toBe(0);
  expect(soonestMicros).toBeGreaterThanOrEqual(FRAME_SILENCE_MICROS - 50);
});
