/**
 * The seam between the timeline (what each zone asks for, day by day) and the
 * choice of outputs (which lamps answer).
 *
 * Always holds: a demand belongs to the civil day its photoperiod starts in;
 * a block lies inside the photoperiod of the demand it is anchored to, so that
 * a clock change, which moves the anchor, moves every block with it and the
 * photoperiod neither breaks nor doubles. Only the hour that a change adds to
 * round-the-clock light is anchored to the clock's own reading, where what burns
 * changes in it.
 */

import type { CivilDay, Minutes } from '../../shared/units.ts';
import type { Clock } from '../timeline/demand.ts';

/** One stretch of light of one output. */
export interface Block {
  /** Index into the plan's controllers. */
  readonly controller: number;
  /** Output number, 1-based. */
  readonly output: number;
  /** Start of the photoperiod it belongs to, on `clock`. */
  readonly anchor: Minutes;
  readonly clock: Clock;
  /** Minutes after the anchor at which it begins. */
  readonly from: number;
  /** Minutes it lasts. */
  readonly length: number;
  /** 1–16; 16 is full. Relays know only 16. */
  readonly level: number;
  /** The last block of round-the-clock light: its end at minute 1440 stands for the same start of the next day. */
  readonly continuous: boolean;
}

/** The answer for one day. Blocks are sorted by controller, output, anchor, from; blocks of one output and anchor neither overlap nor (at equal level) touch. */
export interface DayBlocks {
  readonly day: CivilDay;
  readonly blocks: readonly Block[];
}
