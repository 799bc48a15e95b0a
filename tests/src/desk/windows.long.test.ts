import { askForMany } from '../../support/share.ts';

askForMany();
await import('./windows.slow.test.ts');
