/**
 * Three of the four evaluators on plans. The fourth, the image on the emulated
 * chip, is in `tests/firmware-sim/chips`.
 */

import { describe, expect, it } from 'vitest';
import { traceTable } from '../../firmware-sim/schedule.ts';
import { itemAt } from '../../shared/assert.ts';
import { utcSeconds } from '../../shared/units.ts';
import { samplePlan } from '../support/boards.ts';
import { agree, agreeOnRandomPlans, core, courseOf, open } from './agreement.ts';

/** Of the 500 random plans of `four.long.test.ts`. */
const SHARE = 60;

describe('intent, TypeScript controller and C core agree', () => {
  it.each(['smallest', 'pantry', 'pantry-open', 'wire-rack'])(
    'over the whole grow of %s, at every edge',
    (name) => {
      expect(agree(samplePlan(name))).toBeGreaterThan(300);
    },
  );

  it('over the whole pantry grow, core and controller at every second', () => {
    const { bytes, from, until } = courseOf(samplePlan('pantry'));
    expect(open(bytes)).toBe(true);
    const changes = [...traceTable(bytes, from, until)];
    let at = 0;
    let differing = 0;
    for (let utc = from; utc < until; utc++) {
      while (at + 1 < changes.length && itemAt(changes, at + 1).utc <= utc) at++;
      const { levels } = itemAt(changes, at);
      for (let output = 1; output <= 8; output++) {
        if (core.levelAt(output, utcSeconds(utc - output + 1)) !== levels[output - 1]) differing++;
      }
    }
    expect(differing).toBe(0);
  });

  it(`on ${SHARE} random plans, at every edge`, () => agreeOnRandomPlans(SHARE));
});
