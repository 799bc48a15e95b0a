/**
 * Intent, TypeScript controller and C core over a whole grow, at every seventh second (at each with
 * LEANWARD_ALL=1; `four.slow.test.ts` has every edge), and on many random plans.
 */

import { it } from 'vitest';
import { many } from '../support/share.ts';
import { agreeAtEverySecond, agreeOnRandomPlans } from './agreement.ts';

const PLANS = many(500);

const STEP = process.env.LEANWARD_ALL ? 1 : 7;

it(`controller and core agree over the whole pantry grow, every ${STEP} s`, () =>
  agreeAtEverySecond(undefined, undefined, STEP));

it(`intent, controller and core agree on ${PLANS} random plans, at every edge`, () =>
  agreeOnRandomPlans(PLANS));
