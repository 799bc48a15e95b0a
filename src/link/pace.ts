/**
 * How time passes for the host: really, or as virtual time that moves the
 * controller inside this program.
 *
 * Always holds: everything in the link that waits does so through a pace, so
 * that a virtual port never waits for real.
 */

import { utcFromUnixMs } from '../../shared/civil.ts';
import type { HostTime } from '../answers/status/status.ts';

/** What `within` gives when the time was up first. */
export const OVERDUE: unique symbol = Symbol('overdue');

export interface Pace {
  /** Lets `ms` milliseconds pass. */
  wait(ms: number): Promise<void>;
  /** Lets time pass until `work` settles, at most `ms` milliseconds. */
  within<T>(work: Promise<T>, ms: number): Promise<T | typeof OVERDUE>;
  /** The time that the host takes as now. */
  now(): HostTime;
  /** Said before each exchange: throws when the command is to stop. */
  heed(): void;
}

/** Real time. */
export const realPace: Pace = {
  wait: (ms) => new Promise((resolve) => setTimeout(resolve, ms)),
  async within(work, ms) {
    let timer: NodeJS.Timeout | undefined;
    const overdue = new Promise<typeof OVERDUE>((resolve) => {
      timer = setTimeout(() => resolve(OVERDUE), ms);
    });
    try {
      return await Promise.race([work, overdue]);
    } finally {
      clearTimeout(timer);
    }
  },
  now() {
    const ms = Date.now();
    return { seconds: utcFromUnixMs(ms), sub: Math.floor(((ms % 1000) * 256) / 1000) };
  },
  heed: () => undefined,
};
