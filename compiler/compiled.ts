/**
 * What goes into the compiler beside a plan's text, and what comes of it.
 */

import type { Board } from '../shared/board.ts';
import type { Units } from '../shared/measures.ts';
import type { Table } from '../shared/table.ts';
import type { Encoded } from '../shared/table-encode.ts';
import type { CivilDay } from '../shared/units.ts';
import type { Finding } from './findings/finding.ts';
import type { LightField } from './light/field.ts';
import type { KnownLight } from './light/known.ts';
import type { ResolvedPlan } from './plan/plan.ts';
import type { UtcOffsets } from './plan/utc-offsets.ts';
import type { DayBlocks } from './steer/block.ts';
import type { Steered } from './steer/choose.ts';
import type { TableCosts } from './table/costs.ts';
import type { Moved } from './timeline/arrange.ts';
import type { DayDemands } from './timeline/demand.ts';
import type { VisitOccurrence } from './timeline/visit.ts';

export interface CompileOptions {
  /** Boards by id. */
  readonly boards: Readonly<Record<string, Board>>;
  /** Batches that are over by this civil day are left out of everything. */
  readonly fromDay?: CivilDay;
  /**
   * Today at the place (an IANA name): where a table does not hold the whole grow, the tables are
   * made as a flash today would make them, without what is over.
   */
  readonly today?: (timezone: string) => CivilDay;
  /** Texts of the files that lamps name (photometric, spectra) by name. */
  readonly photometry?: Readonly<Record<string, string>>;
  /** False: findings about light come without remedies, which take time to try. */
  readonly advise?: boolean;
  /** Light traced for an earlier text with the same lamps' files; it changes nothing but the time. */
  readonly known?: KnownLight;
}

/** The table of one controller. */
export interface ControllerTable {
  /** Index into the plan's controllers. */
  readonly controller: number;
  readonly name: string;
  readonly unit: number;
  readonly board: Board;
  readonly table: Table;
  readonly encoded: Encoded;
  readonly costs: TableCosts;
  /** Whether it fits the board. */
  readonly fits: boolean;
  /** The last day whose visits are all in the table, where not all of them fit. */
  readonly remindersUntil: CivilDay | undefined;
}

/** The course of the grow that the tables say. */
export interface Timeline {
  readonly offsets: UtcOffsets;
  readonly demands: readonly DayDemands[];
  readonly days: readonly DayBlocks[];
  /** What reaches each bag, and what the chosen blocks do to every zone. */
  readonly field: LightField;
  readonly steered: Steered;
  readonly visits: readonly VisitOccurrence[];
  /** Visits that had to move, or could not be kept. */
  readonly moved: readonly Moved[];
}

export interface Compiled {
  /** The text as decoded: what the findings' spans count in. */
  readonly text: string;
  /** The units the plan is written in. */
  readonly units: Units;
  readonly findings: readonly Finding[];
  /** Undefined when the plan has errors that keep it from being understood. */
  readonly plan: ResolvedPlan | undefined;
  readonly timeline: Timeline | undefined;
  /** Empty when there is any error. */
  readonly tables: readonly ControllerTable[];
  /** The day from which the tables were made, where they could not hold the whole grow; else undefined. */
  readonly tablesFrom: CivilDay | undefined;
}

/** A compiled plan without errors. */
export type SoundPlan = Compiled & { readonly plan: ResolvedPlan; readonly timeline: Timeline };
