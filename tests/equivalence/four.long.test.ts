/** Intent, TypeScript controller and C core on all random plans. */

import { it } from 'vitest';
import { agreeOnRandomPlans } from './agreement.ts';

const ALL = 500;

it(`intent, controller and core agree on ${ALL} random plans, at every edge`, () => agreeOnRandomPlans(ALL));
