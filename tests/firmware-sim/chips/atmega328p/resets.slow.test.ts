/**
 * Harmless resets: at random cycles and for every cause no pin ever switches a
 * lamp on by itself, and what was lit is lit again in time.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { DAILY, START } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const NOON = START + 12 * 3600;
const RESETS = 1_000;
/** From the start of the image to output 1: the wait of two seconds, and up to one until the clock's second. */
const BACK = 3;

const causes = Object.values(RESET_FLAG);

describe('a reset', () => {
  it(`energises nothing, ${RESETS} times at random cycles`, () => {
    const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
    device.run(12 * SECOND);
    const pauses = fc.sample(
      fc.tuple(fc.integer({ min: 0, max: 64_000_000 }), fc.integer({ min: 0, max: 3 })),
      {
        numRuns: RESETS,
        seed: 2026,
      },
    );
    // Without its log memory the chip starts in a tenth of the time: nine resets in ten are done so.
    let done = 0;
    let early = 0;
    let late = 0;
    for (const [cycles, which] of pauses) {
      device.setTrouble('log silent', done++ % 10 !== 0);
      device.run(device.micros + cycles / 16);
      device.resetNow(itemAt(causes, which));
      const began = device.micros;
      if (device.levels.some((level) => level !== 0)) early++;
      device.onLevels = (_, levels) => {
        const elapsed = device.micros - began;
        const output = levels.findLastIndex((level) => level !== 0);
        // The wait is counted in the clock's seconds: its first is already running at the start.
        if (elapsed < SECOND) early++;
        if (output >= 0 && levels[output] !== 0 && elapsed > (BACK + output) * SECOND) late++;
      };
      device.run(began + 1.2 * SECOND);
    }
    device.onLevels = undefined;
    device.setTrouble('log silent', false);
    expect({ early, late }).toEqual({ early: 0, late: 0 });
    device.run(device.micros + 12 * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(255));
  });

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
