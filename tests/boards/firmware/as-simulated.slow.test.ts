/** What is held of the simulated controller by example is held of the C core too: the same tests, on it. */

import { makeCoreDevice } from '../../../firmware-sim/core/core-device.ts';
import { startWith } from '../../firmware-sim/controller/host.ts';
import { WASM } from './core-table.ts';

startWith((options) => makeCoreDevice(WASM, options));
for (const name of ['corners', 'link', 'overlays', 'time', 'visits', 'world'])
  await import(`../../firmware-sim/controller/${name}.test.ts`);
