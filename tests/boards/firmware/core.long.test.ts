/** The C core against the TypeScript controller, in all random courses and sessions. */

import { askForAll } from '../../support/share.ts';

askForAll();
await import('./core.slow.test.ts');
await import('./sessions.slow.test.ts');
