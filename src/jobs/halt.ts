/**
 * Work that is stopped from outside while it talks to a controller: by a
 * signal, or because nobody follows it any more.
 *
 * Always holds: the work hears of it once, at its next wait or exchange, so
 * that it can put a lamp out or give an upload up over a line that still works.
 */

import { constants } from 'node:os';
import { Failure } from '../failure.ts';
import type { Pace } from '../link/pace.ts';
import type { Halting } from './face.ts';

export type EndSignal = 'SIGINT' | 'SIGTERM' | 'SIGHUP';

/** The work was stopped from outside. Its exit code is the shell's for the signal (128 and its number). */
export class Stopped extends Failure {
  constructor(signal: EndSignal) {
    super('link', 'Stopped.', { reason: 'stopped', exitCode: exitCodeOf(signal) });
    this.name = 'Stopped';
  }
}

/** What the shell makes of a signal. */
export function exitCodeOf(signal: EndSignal): number {
  return 128 + constants.signals[signal];
}

/** Whether some work is to stop, and its hearing of it. */
export class Halt implements Halting {
  private came: EndSignal | undefined;
  private heard = false;
  private readonly wakes = new Set<() => void>();

  /** Whether it was called. */
  get isCalled(): boolean {
    return this.came !== undefined;
  }

  /** Tells the work to stop. */
  call(signal: EndSignal): void {
    this.came ??= signal;
    for (const wake of this.wakes) wake();
  }

  end(): void {}

  /** Throws when the work is to stop and has not heard of it. */
  heed(): void {
    if (this.came === undefined || this.heard) return;
    this.heard = true;
    throw new Stopped(this.came);
  }

  /** Waits for `work`, or throws as soon as the work is to stop. */
  async during<T>(work: Promise<T>): Promise<T> {
    this.heed();
    let wake: () => void = () => undefined;
    const woken = new Promise<void>((resolve) => {
      wake = resolve;
    });
    this.wakes.add(wake);
    work.catch(() => undefined);
    await Promise.race([work, woken]);
    this.wakes.delete(wake);
    this.heed();
    return work;
  }

  over(pace: Pace): Pace {
    return {
      wait: (ms) => this.during(pace.wait(ms)),
      within: (work, ms) => pace.within(work, ms),
      now: () => pace.now(),
      heed: () => this.heed(),
    };
  }
}
