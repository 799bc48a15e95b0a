/** The law on many random plans near clock changes. */

import { askForMany } from '../support/share.ts';

askForMany();
await import('./law.slow.test.ts');
