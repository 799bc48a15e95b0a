/** Tables against the intent on all random plans. */

import { it } from 'vitest';
import { showTheIntent } from './random-grows.ts';

const ALL = 200;

it(`${ALL} random plans show what the intent says at every minute and at every edge`, () =>
  showTheIntent(ALL));
