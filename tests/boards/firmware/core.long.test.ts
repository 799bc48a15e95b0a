/** The C core against the TypeScript controller, in many random courses and sessions. */

import { askForMany } from '../../support/share.ts';

askForMany();
await import('./core.slow.test.ts');
await import('./sessions.slow.test.ts');
