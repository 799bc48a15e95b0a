/**
 * What the archive holds of one of a plan's controllers.
 */

import type { LogRecord } from '../../../shared/log.ts';
import type { Connection } from './connection.ts';
import type { Story } from './story.ts';

/** What the archive holds of one of the plan's controllers. */
export interface Told {
  readonly identities: readonly number[];
  readonly records: readonly LogRecord[];
  readonly story: Story | undefined;
  readonly connections: readonly Connection[];
}
