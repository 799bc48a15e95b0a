/**
 * What a zone asks for and what the choice keeps about it: types only.
 */

import type { Influence } from '../light/field.ts';
import type { PatternLight } from './patterns.ts';
import type { Ask } from './score.ts';

/** One pattern (a digit an output) and how long it burns. */
export interface Part {
  readonly minutes: number;
  readonly digits: readonly number[];
}

/** What the choice needs to know of a zone's light (see `ZoneLight`). */
interface LightOfZone {
  readonly bags: number;
  readonly columns: number;
  readonly room: Float64Array;
  /** What each output gives, in the order of `at`. */
  readonly influences: readonly Influence[];
  /** What the room alone gives: per bag a row of means and what is kept of each point, end to end. */
  readonly base: { readonly means: Float64Array; readonly points: Float64Array };
  of(pattern: number): PatternLight;
}

export interface AskedZone {
  readonly ask: Ask;
  readonly light: LightOfZone;
  /** Positions (in the question) of the outputs that count for it, and what a digit of each adds to the pattern's number. */
  readonly at: readonly number[];
  readonly weights: readonly number[];
  /** What outputs that are held fixed add to the number. */
  readonly base: number;
  /** Positions of the zone's own outputs. */
  readonly own: readonly number[];
  /** What has been worked out from ask and light alone. */
  readonly memo: ZoneMemo;
}

/** A zone that is lit by outputs of its own, and every zone they touch. */
export interface Group {
  readonly zone: AskedZone;
  readonly own: readonly number[];
  readonly touched: readonly AskedZone[];
}

/** What is not proven: the first part of the score in which a better setting could differ, and by how much by the minute. */
export interface Unsettled {
  readonly part: number;
  readonly by: number;
}

/** Digits, and by how much better ones could beat them where that is not settled. */
export interface Best {
  readonly digits: readonly number[];
  readonly gap: Unsettled | undefined;
}

/** Filled when first wanted. */
export interface ZoneMemo {
  readonly id: number;
  /** The same for zones that ask for the same and get the same of as many outputs. */
  readonly alike: number;
  readonly costs: Map<number, Float64Array>;
  /** Answers of the zone's own outputs to what burns around it, by all that they depend on. */
  readonly responses: Map<string, Best>;
  /** Its outputs' own parts in turn, likewise; undefined where one pattern serves as well. */
  readonly pairs: Map<string, readonly Part[] | undefined>;
}
