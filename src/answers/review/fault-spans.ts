/**
 * Faults from being told to being over, also across power cuts.
 *
 * Always holds: a fault that was there when the power went and is told again
 * soon after is one fault; one that is not told again ended with the power.
 */

import type { FaultSpan, Instant, Pieces } from './story.ts';

/** After a restart a fault is told again within this time: the room's needs two hours of readings. */
const RETOLD_SECONDS = 3 * 3600;

interface OpenSpan extends Omit<FaultSpan, 'from' | 'until'> {
  readonly from: Instant;
  until: Instant | undefined;
  /** Seconds by which a trusted clock was moved while it lasted: they are no time that passed. */
  moved: number;
}

/** Gathers the faults of one controller, in the order of its records. */
export class FaultSpans {
  private readonly pieces: Pieces;
  private readonly all: OpenSpan[] = [];
  /** Faults that were there when the power went: told again by `told`, or over at `at`. */
  private interrupted: { readonly span: OpenSpan; readonly at: Instant; told: number }[] = [];

  constructor(pieces: Pieces) {
    this.pieces = pieces;
  }

  /** A fault is told. */
  enter(fault: number, time: number, detail: number): void {
    const goesOn = this.interrupted.findIndex((one) => one.span.fault === fault);
    if (goesOn >= 0) this.interrupted.splice(goesOn, 1);
    else this.all.push({ fault, from: this.pieces.now(time), until: undefined, detail, moved: 0 });
  }

  /** A fault is over that was entered at `since`; its entering may be lost, as a silent log memory loses it. */
  leave(fault: number, time: number, since: number): void {
    if (!this.all.some((one) => one.fault === fault && one.until === undefined))
      this.enter(fault, Math.max(since, this.pieces.from), 0);
    const open = this.all.findLast((one) => one.fault === fault && one.until === undefined);
    if (open) open.until = this.pieces.now(time);
  }

  /** The power went at `gone` and was back at `boot`, by the controller's clock. */
  powerLost(gone: Instant, boot: number): void {
    for (const span of this.all) {
      if (!span.until) this.interrupted.push({ span, at: gone, told: boot + RETOLD_SECONDS });
    }
  }

  /** An event was written at `now`; what should have been told again by then is over. */
  settle(now: number): void {
    for (const { span, at, told } of this.interrupted) if (now > told) span.until = at;
    this.interrupted = this.interrupted.filter((one) => !one.span.until);
  }

  /** The clock went forward; a `trusted` one was right before, or nobody can tell by how much it was not. */
  moveClock(seconds: number, trusted: boolean): void {
    for (const one of this.interrupted) one.told += seconds;
    if (trusted) for (const span of this.all) if (!span.until) span.moved += seconds;
  }

  /** All spans, in true time. */
  spans(): FaultSpan[] {
    const { pieces } = this;
    return this.all.map(({ from, until, moved, ...rest }) => ({
      ...rest,
      // By the clock that told of its end.
      from: pieces.true(from) + moved,
      until: until && pieces.true(until),
    }));
  }
}
