/** The law on all random plans near clock changes. */

import { askForAll } from '../support/share.ts';

askForAll();
await import('./law.slow.test.ts');
