/** Tables against the intent: the whole pantry grow by the wall clock and by a steady one, and all random plans. */

import { it } from 'vitest';
import { showTheIntent } from './random-grows.ts';
import { describeWholeGrow } from './whole-grow.ts';

const ALL = 200;

describeWholeGrow('civil');
describeWholeGrow('steady');

it(`${ALL} random plans show what the intent says at every minute and at every edge`, () =>
  showTheIntent(ALL));
