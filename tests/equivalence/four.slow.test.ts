/**
 * Three of the four evaluators on plans. The fourth, the image on the emulated
 * chip, is in `tests/firmware-sim/chips`.
 */

import { describe, expect, it } from 'vitest';
import { sure } from '../../shared/assert.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { samplePlan } from '../support/boards.ts';
import { agree, agreeAtEverySecond, agreeOnRandomPlans } from './agreement.ts';

/** Of the 500 random plans of `four.long.test.ts`. */
const SHARE = 60;

describe('intent, TypeScript controller and C core agree', () => {
  it.each(['smallest', 'pantry', 'pantry-open', 'wire-rack'])(
    'over the whole grow of %s, at every edge',
    (name) => {
      expect(agree(samplePlan(name))).toBeGreaterThan(300);
    },
  );

  it('over four days of the pantry grow with a clock change, core and controller at every second', () => {
    const changed = sure(dayFromIso('2026-03-29'));
    agreeAtEverySecond((changed - 1) * 86_400, (changed + 3) * 86_400);
  });

  it(`on ${SHARE} random plans, at every edge`, () => agreeOnRandomPlans(SHARE));
});
