/**
 * A controller's run log as it was read: the raw records, and what they say.
 */

import type { LogRecord } from '../../../shared/log.ts';

export interface RawRecord {
  readonly sequence: number;
  readonly raw: Uint8Array;
  readonly record: LogRecord;
}

export interface LogReading {
  readonly records: readonly RawRecord[];
  /** Sequence numbers kept on the controller when it was read; 0: none. */
  readonly oldest: number;
  readonly newest: number;
  /** Sequence numbers in the part asked for that are not there: overwritten before they were read, or damaged. */
  readonly missing: readonly number[];
}
