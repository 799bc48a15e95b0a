/** The review of the crop for the terminal: lots and treatments side by side, what to do the next time, what is likely. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import { columns } from '../../words/columns.ts';
import { list } from '../../words/lists.ts';
import type { CropReview } from './crop.ts';
import { nextTime } from './next-time.ts';
import { cropRemarks, divisionWords, forecastAssumptions, forecastSentences, tablesOf } from './words.ts';

/** Columns of a table before another begins below. */
const MOST_COLUMNS = 3;

/** So many rows of a comparison are printed; of more the page and the JSON tell. */
const MOST_SHOWN = 6;

/** The lines. */
export function cropLines(plan: ResolvedPlan, crop: CropReview): string[] {
  const isTreated = crop.tables.some(
    ({ division: { factors } }) => factors[0] !== 'lot' && factors[0] !== 'zone',
  );
  const shown = crop.tables.filter(
    ({ division: { factors }, rows }) => rows.length <= MOST_SHOWN && !(isTreated && factors[0] === 'zone'),
  );
  const left = crop.tables
    .filter((table) => !shown.includes(table))
    .map(({ division }) => divisionWords(division));
  const tables = shown.flatMap((table) => tablesOf(table, plan.units, MOST_COLUMNS));
  const sentences = nextTime(plan, crop);
  const forecasts = forecastSentences(plan, crop);
  return [
    `The crop, by the grow book up to ${isoDate(crop.today)}:`,
    ...tables.flatMap((rows) => [...columns(rows).map((line) => `  ${line}`), '']),
    ...(left.length > 0 ? [`  The same ${list(left)}: with --page or --json.`] : []),
    ...cropRemarks(crop).map((line) => `  ${line}`),
    ...(sentences.length > 0 ? ['', 'Next time:', ...sentences.map((line) => `  ${line}`)] : []),
    ...(forecasts.length > 0
      ? ['', 'Likely ahead:', ...[...forecasts, forecastAssumptions(plan)].map((line) => `  ${line}`)]
      : []),
  ];
}
