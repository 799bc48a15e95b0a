/**
 * What a zone asks for and what the choice keeps about it: types only.
 */

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

/** Filled when first wanted. */
export interface ZoneMemo {
  readonly id: number;
  readonly costs: Map<number, Float64Array>;
  /** Answers of the zone's own outputs to what burns around it, by all that they depend on. */
  readonly responses: Map<string, readonly number[]>;
  /** Its outputs' own parts in turn, likewise; undefined where one pattern serves as well. */
  readonly pairs: Map<string, readonly Part[] | undefined>;
}
