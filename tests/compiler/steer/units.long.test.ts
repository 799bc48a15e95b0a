/** The racks of `units.slow.test.ts`, all of them. */

import { askForAll } from '../../support/share.ts';

askForAll();
await import('./units.slow.test.ts');
