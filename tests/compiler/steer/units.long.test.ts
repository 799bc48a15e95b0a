/** The racks of `units.slow.test.ts`, many of them. */

import { askForMany } from '../../support/share.ts';

askForMany();
await import('./units.slow.test.ts');
