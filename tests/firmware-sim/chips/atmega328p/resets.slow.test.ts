/** Resets: nothing comes on by itself, and what was lit is lit again in time. */

import { describe, expect, it } from 'vitest';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { DAILY } from '../../controller/host.ts';
import { chip } from './chip.ts';
import { BACK, causes, NOON, resetAtRandom, SECOND } from './chip-resets.ts';

/** Of the resets of `resets.long.test.ts`. */
const SHARE = 100;

describe('a reset', () => {
  it(`energises nothing, ${SHARE} times at random cycles`, () => resetAtRandom(SHARE));

  it('of every cause: what was lit is lit again within 3 s and its stagger', () => {
    for (const flags of causes) {
      const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
      device.run(12.3 * SECOND);
      device.resetNow(flags);
      const began = device.micros;
      expect([...device.levels]).toEqual(Array(8).fill(0));
      for (let output = 0; output < 8; output++) {
        device.run(began + (BACK + output) * SECOND);
        expect(device.levels[output]).toBe(255);
      }
    }
  });
});
