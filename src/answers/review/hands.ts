/**
 * Hand switching as a log tells it: written again while it lasts it goes on
 * without a record, so its end is what the log says, not what its record promised.
 *
 * Always holds: where records are missing before the end, the minutes of the
 * record are all that is known, and count.
 */

import { BOOT_CAUSE, FAULT, type LogRecord } from '../../../shared/log.ts';
import type { Placed } from './gathered.ts';
import type { HandSpan } from './story.ts';

type HandRecord = Extract<LogRecord, { type: 'hand' }>;

/** The outputs (bit 0 the first) of a hand switching whose end, or that it had none yet, `records` tell for certain. */
export function endsTold(records: readonly LogRecord[], hand: HandRecord): number {
  let open = hand.outputs;
  let expected = hand.sequence;
  for (let at = records.indexOf(hand) + 1; at < records.length && open !== 0; at++) {
    const record = records[at];
    expected++;
    if (!record || record.sequence !== expected) return hand.outputs & ~open;
    if (record.type === 'fault' && record.fault === FAULT.logMissing) return hand.outputs & ~open;
    if (record.type === 'hand' || record.type === 'handEnd') open &= ~record.outputs;
    if (record.type === 'boot' && record.cause !== BOOT_CAUSE.watchdog) return hand.outputs;
  }
  return hand.outputs;
}

/** The spans of hand switching, as the replay comes to know them. */
export class Hands {
  private readonly spans: Placed<HandSpan>[];
  /** Outputs whose end the log is yet to tell. */
  private open = 0;

  constructor(spans: Placed<HandSpan>[]) {
    this.spans = spans;
  }

  /** A switching begins in `piece` of the log's time, and ends what ran before; of `told` the log has the end. */
  begin({ time, outputs, level, minutes }: HandRecord, told: number, piece: number): void {
    this.stop(outputs, time);
    this.spans.push({ from: time, until: time + 60 * minutes, outputs, level, piece });
    this.open = (this.open & ~outputs) | told;
  }

  /** What still ran of these outputs is over at `at`. */
  stop(outputs: number, at: number): void {
    this.spans.forEach((hand, index) => {
      const runs = hand.until > at && (hand.outputs & outputs) !== 0;
      if (runs) this.spans[index] = { ...hand, until: at };
    });
    this.open &= ~outputs;
  }

  /** These outputs ran on until `at`, perhaps longer than was said at first. */
  ranOut(outputs: number, at: number, piece: number): void {
    this.moveNewest(outputs & this.open, piece, at);
    this.open &= ~outputs;
  }

  /** The log was read up to `at` and tells no end of what is open. */
  goOn(at: number, piece: number): void {
    this.moveNewest(this.open, piece, at);
  }

  /** The newest switching of each of these outputs lasts at least until `at`. */
  private moveNewest(outputs: number, piece: number, at: number): void {
    for (let bit = 1; bit <= outputs; bit <<= 1) {
      if ((outputs & bit) === 0) continue;
      const index = this.spans.findLastIndex((hand) => (hand.outputs & bit) !== 0);
      const hand = this.spans[index];
      if (hand?.piece === piece) this.spans[index] = { ...hand, until: Math.max(at, hand.until) };
    }
  }
}
