/** Harmless resets: at random cycles and for every cause no pin ever switches a lamp on by itself. */

import fc from 'fast-check';
import { expect } from 'vitest';
import { RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { DAILY, START } from '../../controller/host.ts';
import { chip } from './chip.ts';

export const SECOND = 1_000_000;
export const NOON = START + 12 * 3600;
/** From the start of the image to output 1: the wait of two seconds, and up to one until the clock's second. */
export const BACK = 3;

export const causes = Object.values(RESET_FLAG);

/** Resets a chip whose lamps are lit, so many times at random cycles; nothing may come on early or late. */
export function resetAtRandom(resets: number): void {
  const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  device.run(12 * SECOND);
  const pauses = fc.sample(
    fc.tuple(fc.integer({ min: 0, max: 64_000_000 }), fc.integer({ min: 0, max: 3 })),
    {
      numRuns: resets,
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
}
