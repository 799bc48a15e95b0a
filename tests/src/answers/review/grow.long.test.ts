/** Many seeded half-years of a grow. */

import { askForMany } from '../../../support/share.ts';

askForMany();
await import('./grow.slow.test.ts');
