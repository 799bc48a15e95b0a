/** Three units on one pair, with the traffic of another master's stranger: the programs without a chip. */

import { expect, it } from 'vitest';
import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import { makeSimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import { FRAME_SILENCE_MICROS } from '../../shared/registers.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { board, START } from './controller/host.ts';
import { askOnOnePair } from './shared-line.ts';

const options = () => ({ board: board(), utc: utcSeconds(START), clockRight: true });

it.each([
  ['simulated', () => makeSimulatedDevice(options())],
  ['core', () => makeCoreDevice(WASM, options())],
] as const)('%s: every request on a shared pair is answered, and none too soon', (_, make) => {
  const { asked, answered, wrong, soonestMicros } = askOnOnePair(make, 300, 7);
  expect({ answered, wrong }).toEqual({ answered: asked, wrong: 0 });
  expect(soonestMicros).toBeGreaterThanOrEqual(FRAME_SILENCE_MICROS - 50);
});
