/** The racks of `first.slow.test.ts`, many of them. */

import { askForMany } from '../../support/share.ts';

askForMany();
await import('./first.slow.test.ts');
