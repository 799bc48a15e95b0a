/** The review of the crop for the terminal: lots and treatments side by side, what to do the next time, what is likely. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import { columns } from '../../words/columns.ts';
import type { CropReview } from './crop.ts';
import { nextTime } from './next-time.ts';
import { cropRemarks, forecastAssumptions, forecastSentences, tablesOf } from './words.ts';

/** Columns of a table before another begins below. */
const MOST_COLUMNS = 3;

/** With more tables than lots and zones, the zones' own stands on the page alone. */
const SHORT = 2;

/** The lines. */
export function cropLines(plan: ResolvedPlan, crop: CropReview): string[] {
  const shown = crop.tables.filter(
    ({ division }) => crop.tables.length <= SHORT || division.factors[0] !== 'zone',
  );
  const tables = shown.flatMap((table) => tablesOf(table, plan.units, MOST_COLUMNS));
  const sentences = nextTime(plan, crop);
  const forecasts = forecastSentences(plan, crop);
  return [
    `The crop, by the grow book up to ${isoDate(crop.today)}:`,
    ...tables.flatMap((rows) => [...columns(rows).map((line) => `  ${line}`), '']),
    ...(shown.length < crop.tables.length ? ['  The same by zone: with --page or --json.'] : []),
    ...cropRemarks(crop).map((line) => `  ${line}`),
    ...(sentences.length > 0 ? ['', 'Next time:', ...sentences.map((line) => `  ${line}`)] : []),
    ...(forecasts.length > 0
      ? ['', 'Likely ahead:', ...[...forecasts, forecastAssumptions(plan)].map((line) => `  ${line}`)]
      : []),
  ];
}
