/**
 * A virtual controller's world: its device, what is made to happen to it, and
 * the time that passes there.
 *
 * Always holds: time moves only through `advance`; acts come in order, each at
 * its own instant, however the time before it was cut into pieces.
 */

import type { UtcSeconds } from '../shared/units.ts';
import type { Device, Micros } from './device.ts';

const SECOND = 1_000_000;

/** One act on a device at an instant. */
export interface Act {
  readonly at: UtcSeconds;
  /** As the grower wrote it. */
  readonly text: string;
  /** When what was written begins, and which of its acts this is, from 0: enough to make the act anew. */
  readonly begins: UtcSeconds;
  readonly part: number;
  readonly apply: (device: Device) => void;
}

/** A device, and the acts on it that are still to come. */
export class Happenings {
  readonly device: Device;
  private coming: Act[] = [];

  constructor(device: Device) {
    this.device = device;
  }

  /** Adds acts (their instants are not before now). */
  schedule(acts: readonly Act[]): void {
    this.coming = [...this.coming, ...acts].sort((a, b) => a.at - b.at);
  }

  /** Acts that have not come yet. */
  get pending(): readonly Act[] {
    return this.coming;
  }

  /** Lets virtual microseconds pass. */
  advance(micros: Micros): void {
    const until = this.device.micros + micros;
    for (;;) {
      const next = this.coming[0];
      if (next === undefined || this.microsAt(next.at) > until) break;
      this.device.run(Math.max(this.device.micros, this.microsAt(next.at)));
      this.coming.shift();
      next.apply(this.device);
    }
    this.device.run(until);
  }

  /** Lets time pass up to a UTC instant (fractions of a second allowed); nothing when it is past. */
  advanceTo(utc: number): void {
    this.advance(Math.max(0, this.microsAt(utc) - this.device.micros));
  }

  /** Now, with 1/256 s. */
  now(): { seconds: UtcSeconds; sub: number } {
    const fraction = this.device.micros % SECOND;
    return { seconds: this.device.utc, sub: Math.floor((fraction * 256) / SECOND) };
  }

  /** Virtual microseconds of a UTC instant: the world's seconds begin with UTC's. */
  private microsAt(utc: number): Micros {
    const { micros } = this.device;
    return micros - (micros % SECOND) + Math.round((utc - this.device.utc) * SECOND);
  }
}
