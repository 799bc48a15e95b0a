/** The racks of `first.slow.test.ts`, all of them. */

import { askForAll } from '../../support/share.ts';

askForAll();
await import('./first.slow.test.ts');
