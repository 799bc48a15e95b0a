/** Intent, TypeScript controller and C core at every second and on all random plans. */

import { it } from 'vitest';
import { agreeAtEverySecond, agreeOnRandomPlans } from './agreement.ts';

const ALL = 500;

it('controller and core agree over the whole pantry grow, at every second', () => agreeAtEverySecond());

it(`intent, controller and core agree on ${ALL} random plans, at every edge`, () => agreeOnRandomPlans(ALL));
