/**
 * How fast the growth of each bag gets taller, from the heights that were noted.
 *
 * Always holds: a straight line through the heights of one bag while it
 * elongates; heights of nothing, and those from before knobs or after the first
 * colour where those were noted, take no part. A bag with fewer than two such
 * heights some days apart has no rate.
 */

import type { CivilDay } from '../../../shared/units.ts';
import type { BagLife } from '../bags/lives.ts';
import { SIGNS } from '../book/began-entries.ts';
import { type FittedLine, lineThrough } from './intervals.ts';

/** The growth of one bag. */
export interface BagGrowth {
  readonly line: FittedLine;
  /** Days and heights (mm) that the line goes through, oldest first. */
  readonly heights: readonly (readonly [day: CivilDay, heightMm: number])[];
}

/** Heights closer together than this tell reading more than growth, days (a starting value). */
const LEAST_DAYS = 4;

/** The growth of a bag; undefined where its heights carry no rate. Slope in mm a day. */
export function growthOf(life: BagLife): BagGrowth | undefined {
  const knobs = begunStage(life, 'climb')?.day;
  const colour = begunStage(life, 'ripen')?.day;
  const heights = life.notes.flatMap(({ day, heightMm }) =>
    heightMm !== undefined && heightMm > 0 && day >= (knobs ?? day) && day <= (colour ?? day)
      ? [[day, heightMm] as const]
      : [],
  );
  const [first, last] = [heights[0]?.[0], heights.at(-1)?.[0]];
  if (first === undefined || last === undefined || last - first < LEAST_DAYS) return undefined;
  const line = lineThrough(heights.map(([day, mm]) => [day, mm]));
  return line && { line, heights };
}

/** What the book says of the beginning of a stage, by its name or by the sign of it; undefined where it says nothing. */
export function begunStage({ began }: BagLife, stage: string): BagLife['began'][number] | undefined {
  // What was seen tells more than the stage that was said to begin.
  const isSeen = began.find(({ what }) => SIGNS[what] === stage);
  return isSeen ?? began.find(({ what }) => what === stage);
}
