/**
 * The seam between the timeline (what each zone asks for, day by day) and the
 * choice of outputs (which lamps answer).
 *
 * Always holds: a demand belongs to the civil day its photoperiod starts in;
 * a block lies inside the photoperiod of the demand it is anchored to, so that
 * a clock change, which moves the anchor, moves every block with it and the
 * photoperiod neither breaks nor doubles.
 */

import type { CivilDay, Degrees, Lux, Minutes } from '../../shared/units.ts';

/** The clock a start time is read on: the wall clock, or a fixed UTC offset in quarter hours. */
export type Clock = 'civil' | { readonly offsetQuarters: number };

/** What one zone asks for on one day. */
export interface Demand {
  /** Index into the plan's zones. */
  readonly zone: number;
  /** Index into the plan's batches (the bags' film and block). */
  readonly batch: number;
  /** Start of the photoperiod, minute of the day on `clock`. */
  readonly start: Minutes;
  /** Length of the photoperiod in minutes, 1–1440. */
  readonly length: Minutes;
  readonly clock: Clock;
  /** `start` read on the day's wall clock (differs from `start` only for a steady clock; may lie outside 0–1439). */
  readonly wallStart: number;
  /** The side the growth is to lean toward, or `upright`. */
  readonly side: Degrees | 'upright';
  /** Wanted level band. */
  readonly level: readonly [Lux, Lux];
}

/** All demands of one civil day, and the zones whose bags are there in the dark all day. */
export interface DayDemands {
  readonly day: CivilDay;
  readonly demands: readonly Demand[];
  /** Zones with bags but no photoperiod this day: `[zone, batch]`. */
  readonly dark: readonly (readonly [zone: number, batch: number])[];
}

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
}

/** The answer for one day. Blocks are sorted by controller, output, anchor, from; blocks of one output and anchor neither overlap nor (at equal level) touch. */
export interface DayBlocks {
  readonly day: CivilDay;
  readonly blocks: readonly Block[];
}
