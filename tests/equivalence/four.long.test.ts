/** Intent, TypeScript controller and C core at every second and on many random plans. */

import { it } from 'vitest';
import { many } from '../support/share.ts';
import { agreeAtEverySecond, agreeOnRandomPlans } from './agreement.ts';

const PLANS = many(500);

it('controller and core agree over the whole pantry grow, at every second', () => agreeAtEverySecond());

it(`intent, controller and core agree on ${PLANS} random plans, at every edge`, () =>
  agreeOnRandomPlans(PLANS));
