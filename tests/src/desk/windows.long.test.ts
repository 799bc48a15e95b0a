import { askForAll } from '../../support/share.ts';

askForAll();
await import('./windows.slow.test.ts');
