/** The reader on all its damaged plans. */

import { askForAll } from '../../support/share.ts';

askForAll();
await import('./fuzz.slow.test.ts');
