/**
 * The review of the crop on a page: each comparison as a table and as pictures,
 * then what to do the next time and what is likely.
 *
 * Always holds: every picture's figures stand in the table above it; tables are
 * so narrow that neither a phone nor paper cuts them.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { isoDate } from '../../../shared/civil.ts';
import { GRAMS_PER_OUNCE, MM_PER_INCH } from '../../../shared/measures.ts';
import { html, type Markup, table } from '../../page/html.ts';
import { type IntervalRow, intervalDrawing } from '../../page/interval-drawing.ts';
import type { Row, SideBySide } from './compare.ts';
import type { CropReview } from './crop.ts';
import { type Interval, meanInterval, type Sample, shareInterval } from './intervals.ts';
import { nextTime } from './next-time.ts';
import {
  cropRemarks,
  divisionWords,
  forecastAssumptions,
  forecastSentences,
  type Say,
  saysOf,
  tablesOf,
} from './words.ts';

/** Columns of a table before another begins below: so many fit a phone. */
const MOST_COLUMNS = 3;

/** The section. */
export function cropSection(plan: ResolvedPlan, crop: CropReview): Markup {
  const sentences = nextTime(plan, crop);
  const forecasts = forecastSentences(plan, crop);
  return html`<h2>The crop</h2>
<p class="soft">By the grow book up to ${isoDate(crop.today)}. In the pictures a dot is a bag (or bags weighed together), the bar the mean, the line the range in which the true mean lies, 95 % sure.</p>
${crop.tables.map((one) => comparison(plan, one))}
${cropRemarks(crop).map((line) => html`<p class="soft">${line}</p>`)}
${sentences.length > 0 ? html`<h3>Next time</h3><ul>${sentences.map((line) => html`<li>${line}</li>`)}</ul>` : undefined}
${forecasts.length > 0 ? html`<h3>Likely ahead</h3><ul>${forecasts.map((line) => html`<li>${line}</li>`)}</ul><p class="soft">${forecastAssumptions(plan)}</p>` : undefined}`;
}

function comparison(plan: ResolvedPlan, one: SideBySide): Markup {
  const tables = tablesOf(one, plan.units, MOST_COLUMNS).map(([head = [], ...rows]) =>
    table(['', ...head.slice(1)], rows),
  );
  const name = divisionWords(one.division);
  return html`<h3>${name.charAt(0).toUpperCase() + name.slice(1)}</h3>
<div class="sides">${tables}</div>
${pictures(plan, one)}`;
}

function pictures({ units }: ResolvedPlan, { rows }: SideBySide): Markup {
  const say = saysOf(units);
  const [ounce, inch] = units === 'us' ? [GRAMS_PER_OUNCE, MM_PER_INCH] : [1, 1];
  const drawn = [
    picture('Fresh mass a bag', rows, ({ figures }) => sampleRow(figures.freshG), say.grams, ounce),
    picture('Biological efficiency', rows, ({ figures }) => sampleRow(figures.efficiency), say.percent),
    picture('Growth a day', rows, ({ figures }) => sampleRow(figures.growth), say.growth, inch),
    picture('Days to knobs', rows, ({ figures }) => sampleRow(figures.knobsDays), say.days),
    picture('Lean to the side asked for', rows, ({ figures }) => sampleRow(figures.leanDeg), say.degrees),
    picture(
      'Bags lost',
      rows,
      ({ figures: { lost } }) => ({ values: [], mean: lost.count / lost.of, ...ends(shareInterval(lost)) }),
      say.percent,
    ),
  ];
  return html`<div class="pictures">${drawn}</div>`;
}

type Drawn = Omit<IntervalRow, 'label'>;

const ends = (interval: Interval | undefined): Pick<Drawn, 'low' | 'high'> => ({
  low: interval?.low,
  high: interval?.high,
});

function sampleRow(sample: Sample | undefined): Drawn | undefined {
  if (!sample) return undefined;
  return { values: sample.values, mean: sample.mean, ...ends(meanInterval(sample)) };
}

/** One picture; none where no row has the figure. */
function picture(
  title: string,
  rows: readonly Row[],
  of: (row: Row) => Drawn | undefined,
  say: Say,
  unit = 1,
): Markup | undefined {
  const found = rows.map((row) => ({ label: row.label, drawn: of(row) }));
  if (found.every(({ drawn }) => drawn === undefined)) return undefined;
  const drawn = found.map(
    ({ label, drawn: one }): IntervalRow => ({
      ...{ label, values: [], mean: undefined, low: undefined, high: undefined },
      ...one,
    }),
  );
  return html`<figure><figcaption>${title}</figcaption>${intervalDrawing(title, drawn, say, unit)}</figure>`;
}

/** What the section needs beside the page's own style. */
export const CROP_STYLE = `
.sides table { width: 100%; table-layout: fixed; }
.sides th, .sides td { padding-right: 0.5rem; overflow-wrap: anywhere; }
.sides td.figure { text-align: left; white-space: normal; }
.pictures { display: flex; flex-wrap: wrap; gap: 0.6rem 2rem; }
figure { margin: 0.4rem 0; break-inside: avoid; max-width: 100%; }
figcaption { color: var(--soft); }
`;
