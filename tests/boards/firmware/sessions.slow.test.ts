/** The C core and the TypeScript controller in sessions by chance: every answer and every byte of their memories alike. */

import fc from 'fast-check';
import { expect, it } from 'vitest';
import { makeCoreDevice } from '../../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../shared/assert.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { hex } from '../../firmware-sim/controller/vectors.ts';
import { BOARDS } from '../../support/boards.ts';
import { share } from '../../support/share.ts';
import { WASM } from './core-table.ts';
import { BASE, session } from './sessions.ts';

const sessions = share(40, 300);

it(`are answered alike, byte by byte, by the core and by the TypeScript controller, in ${sessions} of them`, () => {
  fc.assert(
    fc.property(
      session,
      fc.constantFrom(...Object.keys(BOARDS)),
      fc.constantFrom(true, true, false),
      (steps, id, clockRight) => {
        const options = {
          ...{ board: sure(BOARDS[id]), utc: utcSeconds(BASE * 86_400 + 43_200) },
          ...{ clockRight, probe: 368 },
        };
        const pair: readonly SimulatedDevice[] = [
          makeSimulatedDevice(options),
          makeCoreDevice(WASM, options),
        ];
        for (const device of pair) device.run(3_000_000);
        steps.forEach((step, at) => {
          const [wanted, found] = pair.map((device) => step(device));
          if (found !== wanted) expect({ at, answer: found }).toEqual({ at, answer: wanted });
        });
        for (const device of pair) device.run(device.micros + 200_000_000);
        const [wanted, found] = pair.map(({ levels, memories }) => ({
          ...{ levels: hex(levels), eeprom: hex(memories.eeprom), log: hex(memories.log) },
        }));
        expect(found).toEqual(wanted);
      },
    ),
    { numRuns: sessions },
  );
});
