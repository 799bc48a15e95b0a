/**
 * A reading of a controller's clock against the host's at a connection.
 */

import { unixMsFromUtc } from '../../../shared/civil.ts';
import type { UtcSeconds } from '../../../shared/units.ts';

/** One reading of a controller's clock. */
export interface Connection {
  /** The host's clock, ms since 1970, at the middle of the exchange. */
  readonly hostMs: number;
  readonly controller: UtcSeconds;
  /** 1/256 s. */
  readonly sub: number;
  readonly known: boolean;
  readonly estimated: boolean;
  /** The host set the clock right after. */
  readonly setAfter: boolean;
  /** The newest sequence number in the controller's log then: up to this time nothing later was written. */
  readonly newest: number;
}

/** Seconds by which the controller's clock was ahead of the host's. */
export function aheadSeconds(reading: Connection): number {
  return (unixMsFromUtc(reading.controller) - reading.hostMs) / 1000 + reading.sub / 256;
}
