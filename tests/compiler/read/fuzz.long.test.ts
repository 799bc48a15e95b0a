/** The reader on many damaged plans. */

import { askForMany } from '../../support/share.ts';

askForMany();
await import('./fuzz.slow.test.ts');
