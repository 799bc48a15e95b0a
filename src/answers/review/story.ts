/**
 * What a replayed log tells: the types, and time as it truly was.
 *
 * Always holds: all times of a `Story` are true UTC seconds since 2000, that is
 * the controller's own, moved by what an estimated clock turned out to be wrong
 * by when it was set.
 */

import type { Schedule } from '../../../firmware-sim/schedule.ts';
import type { LogRecord } from '../../../shared/log.ts';

/** The controller's state from `at` on. `none`: it runs without a table. */
export interface Change {
  readonly at: number;
  /** Undefined when nobody can know. */
  readonly levels: Uint8Array | undefined;
  readonly state: 'run' | 'off' | 'none' | 'unknown';
}

/** Power or memory was lost; `from` is known to half a minute, or not at all. */
export interface Outage {
  readonly from: number | undefined;
  readonly until: number;
  readonly cause: number;
}

/** The log of a day and its proof. */
export interface DayProof {
  /** Civil day by the controller's clock, and the seconds the proof is about. */
  readonly day: number;
  readonly from: number;
  readonly until: number;
  /** `unproved`: there was nothing to compare with. */
  readonly result: 'proved' | 'unexplained' | 'unproved';
  readonly proof: Extract<LogRecord, { type: 'proof' }>;
}

/** The clock ran, but nobody could vouch for it. */
export interface EstimatedSpan {
  readonly from: number;
  /** Undefined: it has not been set yet. */
  readonly until: number | undefined;
  /** Seconds by which it turned out to be behind. */
  readonly behind: number | undefined;
}

export interface HandSpan {
  readonly from: number;
  readonly until: number;
  readonly outputs: number;
  /** 0–255. */
  readonly level: number;
}

export interface ClockSetting {
  readonly at: number;
  /** Seconds by which the clock went forward, with what the sub-second of the old time tells. */
  readonly forward: number;
}

export interface TableStart {
  readonly at: number;
  readonly crc: number;
  /** Undefined when the archive lacks its bytes. */
  readonly schedule: Schedule | undefined;
}

export interface FaultSpan {
  readonly fault: number;
  readonly from: number;
  readonly until: number | undefined;
  readonly detail: number;
}

/** Records that were lost: whatever they said happened in this time. */
export interface LostSpan {
  readonly from: number;
  readonly until: number;
  readonly records: number;
  /** The table taken to run afterwards, and why. */
  readonly settled: Settled | undefined;
}

export interface Story {
  readonly changes: readonly Change[];
  readonly outages: readonly Outage[];
  readonly proofs: readonly DayProof[];
  readonly estimated: readonly EstimatedSpan[];
  readonly hands: readonly HandSpan[];
  readonly settings: readonly ClockSetting[];
  /** Tables in the order they began to run. */
  readonly tables: readonly TableStart[];
  readonly lost: readonly LostSpan[];
  readonly faults: readonly FaultSpan[];
  /** Switchings of each output, on and off. */
  readonly operations: readonly number[];
  /** The controller told of things before `from` that were lost; else it was not there yet. */
  readonly blindBefore: boolean;
  /** From the first thing known to the last. */
  readonly from: number;
  readonly until: number;
}

/** An instant as the controller counted it, in one of its pieces of time. */
export interface Instant {
  readonly at: number;
  readonly piece: number;
}

/** The pieces of a controller's time, each with what to add for true time. */
export class Pieces {
  private readonly all: { readonly from: number; shift: number }[] = [];

  get count(): number {
    return this.all.length;
  }

  /** A new piece begins at the controller's second `from`. */
  begin(from: number): void {
    this.all.push({ from, shift: 0 });
  }

  /** The second at which the present piece began. */
  get from(): number {
    return this.all.at(-1)?.from ?? 0;
  }

  /** An instant of the present piece. */
  now(at: number): Instant {
    return { at, piece: this.all.length - 1 };
  }

  /** The clock turned out to be `seconds` behind in the pieces from `piece` on. */
  shift(piece: number, seconds: number): void {
    for (const one of this.all.slice(piece)) one.shift = seconds;
  }

  /** True second of an instant. */
  true({ at, piece }: Instant): number {
    return at + (this.all[piece]?.shift ?? 0);
  }
}

/** The table that ran from the first record after a loss on. */
export interface Settled {
  /** Its CRC-32; undefined: none ran. */
  readonly crc: number | undefined;
  /** Days whose proofs agree with it; 0: it is taken on trust. */
  readonly days: number;
  /** UTC second of its flash by the host's clock, where that was kept. */
  readonly flashedAt: number | undefined;
}
