/**
 * What each zone asks for, day by day: the seam between the timeline and the choice of
 * outputs.
 *
 * Time is counted in *even minutes*: day × 1440 + minute on a clock that keeps the UTC
 * offset of the first day's midnight, so that differences are elapsed time.
 *
 * Always holds: a demand belongs to the civil day its photoperiod starts in.
 */

import type { CivilDay, Degrees, Lux, Minutes } from '../../shared/units.ts';

/** The clock a start time is read on: the wall clock, or a fixed UTC offset in quarter hours. */
export type Clock = 'civil' | { readonly offsetQuarters: number };

/** A reading of the wall clock, and the even minute at which the clock first shows it. */
export interface Beyond {
  readonly day: CivilDay;
  readonly minute: Minutes;
  readonly at: number;
}

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
  /** When it is lit, in even minutes: from its start to its end, or to where it yields. Empty when it yields wholly. */
  readonly lit: readonly [from: number, to: number];
  /** Minutes at its end in which it yields to a later day's photoperiod of the zone. */
  readonly yields: number;
  /** Where a clock change makes round-the-clock light longer than 1440 minutes: from where its time after them is counted. */
  readonly beyond?: Beyond;
  /** The side the growth is to lean toward, or `upright`. */
  readonly side: Degrees | 'upright';
  /** Wanted level band. */
  readonly level: readonly [Lux, Lux];
}

/** All demands of one civil day, and the zones whose bags are there in the dark all day. */
export interface DayDemands {
  readonly day: CivilDay;
  /** From its midnight to the next, in even minutes: 1440 of them, or 1380 or 1500 where the clock changes. */
  readonly span: readonly [from: number, to: number];
  /** When, in even minutes, which entry of the plan's `background` is on. */
  readonly background: readonly (readonly [entry: number, from: number, to: number])[];
  readonly demands: readonly Demand[];
  /** Zones with bags but no photoperiod this day: `[zone, batch]`. */
  readonly dark: readonly (readonly [zone: number, batch: number])[];
}
