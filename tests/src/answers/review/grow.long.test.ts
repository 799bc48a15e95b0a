/** Fifty seeded half-years of a grow. */

import { askForAll } from '../../../support/share.ts';

askForAll();
await import('./grow.slow.test.ts');
