/**
 * The review of the crop: lots and treatments side by side, what can be told
 * apart, and when the harvest is likely.
 *
 * Always holds: it follows from plan, grow book and logged room alone; bags that
 * are not sealed yet take no part.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { type BagLife, bagLives } from '../bags/lives.ts';
import type { Note } from '../book/note.ts';
import { type Comparison, comparisonsOf, type SideBySide } from './compare.ts';
import { type CropFigures, cropFigures } from './figures.ts';
import { type CropForecast, cropForecasts, type RoomMeans } from './forecast.ts';
import { allTraits, divisionsOf } from './treatments.ts';

export interface CropReview {
  /** The day up to which it looks. */
  readonly today: CivilDay;
  readonly whole: CropFigures;
  /** Bags by lot first, then by each treatment in which they differ. */
  readonly tables: readonly SideBySide[];
  readonly comparisons: readonly Comparison[];
  readonly forecasts: readonly CropForecast[];
  readonly lives: readonly BagLife[];
}

/** What it is asked of. */
export interface CropInput {
  readonly plan: ResolvedPlan;
  readonly notes: readonly Note[];
  /** The room's means as they were logged. */
  readonly rooms: RoomMeans;
  readonly today: CivilDay;
}

/** The review of the crop; undefined where the book has nothing of any bag that was sealed by `today`. */
export function reviewCrop({ plan, notes, rooms, today }: CropInput): CropReview | undefined {
  const known = notes.filter(({ day }) => day <= today);
  const lives = bagLives(plan, known).filter(({ sealed }) => sealed <= today);
  const whole = cropFigures(plan, known, lives);
  if (!hasSomething(whole)) return undefined;
  const traits = allTraits(plan, lives);
  const figuresOf = (some: readonly BagLife[]): CropFigures => cropFigures(plan, known, some);
  const tables = divisionsOf(traits).map((division) => ({
    division,
    rows: division.rows.map((row) => ({ ...row, figures: figuresOf(row.lives) })),
  }));
  return {
    ...{ today, whole, tables, lives },
    comparisons: comparisonsOf(tables, traits, figuresOf),
    forecasts: cropForecasts(plan, lives, rooms, today),
  };
}

/** Something that a bag did is known, not only that it was sealed. */
function hasSomething({ harvested, lost, knobsDays, growth, leanDeg, offUprightDeg }: CropFigures): boolean {
  return harvested + lost.count > 0 || [knobsDays, growth, leanDeg, offUprightDeg].some(Boolean);
}
