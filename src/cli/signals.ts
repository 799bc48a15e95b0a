/**
 * Signals that end a command while it talks to a controller: Ctrl-C, a system
 * that shuts down, a terminal that was closed.
 *
 * Always holds: the work hears of it once, at its next wait or exchange, so
 * that it can put a lamp out or give an upload up over a line that still
 * works; a second signal ends the program at once.
 */

import { constants } from 'node:os';
import { Failure } from '../failure.ts';
import type { Pace } from '../link/pace.ts';

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;
export type EndSignal = (typeof SIGNALS)[number];

/** The work was stopped from outside. Its exit code is the shell's for the signal (128 and its number). */
export class Stopped extends Failure {
  constructor(signal: EndSignal) {
    super('link', 'Stopped.', { reason: 'stopped', exitCode: exitCodeOf(signal) });
    this.name = 'Stopped';
  }
}

function exitCodeOf(signal: EndSignal): number {
  return 128 + constants.signals[signal];
}

/** Waits for a signal while some work runs. */
export class Interruption {
  private came: EndSignal | undefined;
  private heard = false;
  private wake: (() => void) | undefined;
  private readonly onSignal = (signal: EndSignal): void => {
    if (this.came !== undefined) {
      this.atOnce();
      process.exit(exitCodeOf(signal));
    }
    this.came = signal;
    this.wake?.();
  };

  /** `atOnce` is done before a second signal ends the program. */
  constructor(private readonly atOnce: () => void) {
    for (const signal of SIGNALS) process.on(signal, this.onSignal);
    current = this;
  }

  /** Signals end the program as ever again. */
  end(): void {
    for (const signal of SIGNALS) process.removeListener(signal, this.onSignal);
    if (current === this) current = undefined;
  }

  /** Throws when a signal came that the work has not heard of. */
  heed(): void {
    if (this.came === undefined || this.heard) return;
    this.heard = true;
    throw new Stopped(this.came);
  }

  /** Waits for `work`, or throws as soon as a signal comes. */
  async during<T>(work: Promise<T>): Promise<T> {
    this.heed();
    const woken = new Promise<void>((resolve) => {
      this.wake = resolve;
    });
    work.catch(() => undefined);
    await Promise.race([work, woken]);
    this.wake = undefined;
    this.heed();
    return work;
  }

  /** A pace whose waits end, and whose exchanges do not begin, once a signal has come. */
  over(pace: Pace): Pace {
    return {
      wait: (ms) => this.during(pace.wait(ms)),
      within: (work, ms) => pace.within(work, ms),
      now: () => pace.now(),
      heed: () => this.heed(),
    };
  }
}

let current: Interruption | undefined;

/** Waits for an answer from outside (a person at a terminal), or throws as soon as a signal comes. */
export function unlessStopped<T>(work: Promise<T>): Promise<T> {
  return current === undefined ? work : current.during(work);
}
