/**
 * Signals that end a command while it talks to a controller: Ctrl-C, a system
 * that shuts down, a terminal that was closed.
 *
 * Always holds: the work hears of it once (`Halt`); a second signal ends the
 * program at once.
 */

import { type EndSignal, exitCodeOf, Halt } from '../jobs/halt.ts';

const SIGNALS = ['SIGINT', 'SIGTERM', 'SIGHUP'] as const;

/** Waits for a signal while some work runs. */
export class Interruption extends Halt {
  private readonly onSignal = (signal: EndSignal): void => {
    if (this.isCalled) {
      this.atOnce();
      process.exit(exitCodeOf(signal));
    }
    this.call(signal);
  };

  /** `atOnce` is done before a second signal ends the program. */
  constructor(private readonly atOnce: () => void) {
    super();
    for (const signal of SIGNALS) process.on(signal, this.onSignal);
    current = this;
  }

  /** Signals end the program as ever again. */
  override end(): void {
    for (const signal of SIGNALS) process.removeListener(signal, this.onSignal);
    if (current === this) current = undefined;
  }
}

let current: Interruption | undefined;

/** Waits for an answer from outside (a person at a terminal), or throws as soon as a signal comes. */
export function unlessStopped<T>(work: Promise<T>): Promise<T> {
  return current === undefined ? work : current.during(work);
}
