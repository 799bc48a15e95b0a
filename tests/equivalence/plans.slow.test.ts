/** Tables against the intent: the first of the random plans. */

import { describe, it } from 'vitest';
import { showTheIntent } from './random-grows.ts';

/** Of the 200 random plans of `plans.long.test.ts`. */
const SHARE = 10;

describe('random plans', () => {
  it('show what the intent says at every minute and at every edge', () => showTheIntent(SHARE));
});
