/**
 * What each zone asks for, day by day: the seam between the timeline and the choice of
 * outputs.
 *
 * Always holds: a demand belongs to the civil day its photoperiod starts in.
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
