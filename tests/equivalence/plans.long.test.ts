/** Tables against the intent: the whole pantry grow by the wall clock and by a steady one, and many random plans. */

import { it } from 'vitest';
import { many } from '../support/share.ts';
import { showTheIntent } from './random-grows.ts';
import { describeWholeGrow } from './whole-grow.ts';

const PLANS = many(200);

describeWholeGrow('civil');
describeWholeGrow('steady');

it(`${PLANS} random plans show what the intent says at every minute and at every edge`, () =>
  showTheIntent(PLANS));
