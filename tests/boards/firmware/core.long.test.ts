/** The C core against the TypeScript controller, in all its random courses. */

import { askForAll } from '../../support/share.ts';

askForAll();
await import('./core.slow.test.ts');
