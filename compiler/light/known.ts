/**
 * Light that is known for a plan and its variations: what was traced once is not traced again.
 *
 * Always holds: everything is kept by all that it depends on (`alike.ts`), but for the
 * lamps' files, which must be the same for all fields that share this.
 */

import { Numbered } from './numbered.ts';

/** What was traced from one source to a bag. */
export interface BagTrace {
  /** Means over the points: the first part of a row. */
  readonly means: Float64Array;
  /** What is kept of each point for its level, one after the other. */
  readonly points: Float64Array;
}

/** The same for the flux that the source has, before rounding. */
export interface BagLight {
  readonly means: Float64Array;
  readonly points: Float32Array;
}

/** What one source at full gives the bags of one zone; all values hundredths of a lux, of a coloured lamp as much as white light that bends alike. */
export interface Influence {
  /** Per bag of the zone the first part of a row (`row.ts`), with the faces of `azimuths`, over the headspace. */
  readonly means: readonly Int32Array[];
  /** Per bag what `rowLevelAt` needs of each of its points, one after the other. */
  readonly points: readonly Int32Array[];
  /** Greatest level at any point. */
  readonly peak: number;
}

export interface KnownLight {
  readonly numbered: Numbered;
  /** What one lamp of one lumen gives: kept where it is added to others or weighted by its colour (all would fill the memory). */
  readonly traces: Map<string, readonly BagTrace[]>;
  /** What one lamp gives, and what several do, their texts joined by a plus sign. */
  readonly influences: Map<string, Influence | undefined>;
  readonly backgrounds: Map<string, readonly Influence[]>;
}

export const nothingKnown = (): KnownLight => ({
  numbered: new Numbered(),
  traces: new Map(),
  influences: new Map(),
  backgrounds: new Map(),
});
