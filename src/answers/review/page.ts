/**
 * The review as a page: verdicts, each zone's days as a band, what happened,
 * the room, the controllers.
 *
 * Always holds: self-contained, printable; the band shows unknown and
 * unexplained days as such.
 */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import type { Units } from '../../../shared/measures.ts';
import { civilDay } from '../../../shared/units.ts';
import { html, type Markup, page, table } from '../../page/html.ts';
import { bandWords, roomTemperature } from '../../words/controller.ts';
import { PHOTO_STYLE, type Pictures, photoFigures, photosOf } from '../book/photos.ts';
import type { CropReview } from '../crop/crop.ts';
import { CROP_STYLE, cropSection } from '../crop/page.ts';
import { type ForecastWeek, forecastLines } from '../visits/forecast.ts';
import { happenedLines } from './happened.ts';
import type { Review, ReviewedDay } from './review.ts';
import { backgroundLines, clockWasWrong, driftWords, lifeWords, spanOf, visitsWords } from './text.ts';
import { hours, luxWords, shareWords, type Verdict } from './verdict.ts';
import type { Naming } from './words.ts';

/** What the page shows. */
export interface ReviewPage {
  readonly plan: ResolvedPlan;
  readonly review: Review;
  readonly verdicts: readonly Verdict[];
  readonly forecast: readonly ForecastWeek[];
  readonly naming: Naming;
  readonly crop: CropReview | undefined;
  /** Those photos of the book that are to be in the page. */
  readonly pictures: Pictures;
}

/** The HTML file. */
export function reviewPage(input: ReviewPage): string {
  const title = `Review: ${input.plan.title || 'the plan'}`;
  return page(title, reviewBody(input), STYLE + CROP_STYLE + PHOTO_STYLE);
}

/** What stands on it below its title. */
export function reviewBody(input: ReviewPage): Markup {
  const { plan, review, verdicts } = input;
  const span = spanOf(review) ?? 'No log has been read yet';
  return html`<p class="soft">${span}; times are those of ${plan.timezone}. ${backgroundLines(plan)}</p>
${verdicts.map((verdict) => zoneSection(input, verdict))}
${KEY}
${input.crop ? cropSection(plan, input.crop) : undefined}
<h2>What happened</h2>
${happened(input)}
${roomSection(review, plan.units)}
<h2>Controllers</h2>
<ul>${review.controllers.map((one, i) => html`<li>${[one.name, driftWords(one.drift, clockWasWrong(review, one.name)), lifeWords(plan, one, i), `${one.resets} harmless resets`].filter(Boolean).join('; ')}</li>`)}</ul>
<h2>Harvest ahead</h2>
<ul>${forecastLines(input.forecast, plan.units).map((line) => html`<li>${line}</li>`)}</ul>
${photoSection(input)}`;
}

/** What was photographed of each bag, day by day. */
function photoSection({ review, pictures }: ReviewPage): Markup | undefined {
  const figures = photoFigures(photosOf(review.notes), pictures);
  return (
    figures &&
    html`<h2>Photos</h2>
${figures}`
  );
}

function zoneSection({ plan, review }: ReviewPage, verdict: Verdict): Markup {
  const days = review.days.filter((day) => day.zone === verdict.zone && day.batch === verdict.batch);
  return html`<h2>${verdict.line}</h2>
<p>${itemAt(plan.batches, verdict.batch).name}. To do: ${verdict.todo}.</p>
${band(days)}
${otherDays(days)}
${sideTable(verdict)}`;
}

/** Of the band's days those that were not wholly as planned, or are not proved to be; behind a word, for there may be many. */
function otherDays(days: readonly ReviewedDay[]): Markup {
  const others = days.filter(
    ({ lost, unknown, extra, standing }) =>
      standing !== 'proved' || lost.off + lost.none + lost.run + unknown + extra >= WORTH_HOURS,
  );
  if (others.length === 0) return html``;
  const rows = others.map(({ day, planned, delivered, unknown, extra, standing }) => [
    isoDate(day),
    hours(planned),
    hours(delivered),
    [
      unknown >= WORTH_HOURS && `${hours(unknown)} unknown`,
      extra >= WORTH_HOURS && `${hours(extra)} not planned`,
      standing,
    ]
      .filter(Boolean)
      .join(', '),
  ]);
  const words = `${others.length} of ${days.length} days not wholly as planned, or not proved to be`;
  return html`<details><summary>${words}</summary>
${table(['day', 'planned', 'came', ''], rows)}</details>`;
}

const DAY_WIDTH = 8;
const BAND_HEIGHT = 60;
/** Stagger leaves seconds of a side that nobody asked for. */
const WORTH_HOURS = 0.05;
const COLOURS = { delivered: '#d8a531', lost: '#e9ddbd', unknown: '#c9c5bb', extra: '#a8442a' } as const;
const MARKS: Readonly<Partial<Record<ReviewedDay['standing'], string>>> = {
  unexplained: '#a8442a',
  unknown: '#8d8a82',
  estimated: '#7a4b8c',
  part: '#d8a531',
};

/** A column a day: light delivered, missing, unknown; a mark below where the day is not proved whole. */
function band(days: readonly ReviewedDay[]): Markup {
  const first = days[0]?.day ?? 0;
  const width = ((days.at(-1)?.day ?? 0) - first + 1) * DAY_WIDTH;
  const columns = days.map((day) => column(day, (day.day - first) * DAY_WIDTH));
  const whole = Math.max(width, 180);
  const text = (x: number, anchor: string, day: number): Markup =>
    html`<text x="${x}" y="${BAND_HEIGHT + 22}" text-anchor="${anchor}" font-size="11" fill="#6d6a62">${isoDate(civilDay(day))}</text>`;
  return html`<svg viewBox="0 0 ${whole} ${BAND_HEIGHT + 26}" width="${whole}" height="${BAND_HEIGHT + 26}" role="img" aria-label="Light day by day">
<line x1="0" x2="${width}" y1="${BAND_HEIGHT}" y2="${BAND_HEIGHT}" stroke="#d9d4c7"/>
${columns}${text(0, 'start', first)}${text(whole, 'end', days.at(-1)?.day ?? 0)}</svg>`;
}

function column(day: ReviewedDay, x: number): Markup {
  const scale = BAND_HEIGHT / 24;
  const lost = day.lost.off + day.lost.none + day.lost.run;
  let y = BAND_HEIGHT;
  const block = (value: number, colour: string): Markup => {
    const height = value * scale;
    y -= height;
    if (height < 0.2) return html``;
    return html`<rect x="${x}" y="${y.toFixed(1)}" width="${DAY_WIDTH - 1}" height="${height.toFixed(1)}" fill="${colour}"/>`;
  };
  const parts = [
    block(day.delivered, COLOURS.delivered),
    block(lost, COLOURS.lost),
    block(day.unknown, COLOURS.unknown),
    block(day.extra, COLOURS.extra),
  ];
  const mark = MARKS[day.standing];
  const below = mark
    ? html`<circle cx="${x + DAY_WIDTH / 2}" cy="${BAND_HEIGHT + 5}" r="2.5" fill="${mark}"/>`
    : html``;
  const words = `${isoDate(day.day)}: ${hours(day.delivered)} of ${hours(day.planned)}, ${day.standing}`;
  return html`<g><title>${words}</title>${parts}${below}</g>`;
}

const KEY = html`<p class="soft key"><span class="swatch delivered"></span> light that came
<span class="swatch lost"></span> planned, did not come <span class="swatch unknown"></span> unknown
<span class="swatch extra"></span> not planned. A column is a day of 24 hours; a dot below it: proved in part only (amber),
unknown (grey), by an estimated clock (violet), unexplained (red).</p>`;

function sideTable(verdict: Verdict): Markup {
  const { totals, share } = verdict;
  const visits = visitsWords(verdict);
  const rows = Object.entries(totals.sides)
    .filter(([side, { planned, delivered }]) => side !== 'dark' && planned + delivered >= WORTH_HOURS)
    .map(([side, { planned, delivered }]) => [
      side === 'upright' ? 'of even light' : `from the ${side}`,
      hours(planned),
      hours(delivered),
    ]);
  const dark = ['dark', hours(totals.darkPlanned), hours(totals.darkKept)];
  const whole = share === undefined ? '' : shareWords(share);
  const lux = luxWords(totals);
  return html`${table(['', 'planned', 'came, at any hour'], [...rows, dark])}<p class="soft">${[whole, lux].filter(Boolean).join('; ')}${visits}</p>`;
}

function happened({ review, naming }: ReviewPage): Markup {
  const lines = happenedLines(review, naming);
  if (lines.length === 0) return html`<p>Nothing that was not planned.</p>`;
  return html`<ul>${lines.map((line) => html`<li>${line}</li>`)}</ul>`;
}

function roomSection(review: Review, units: Units): Markup {
  if (review.room.length === 0) return html``;
  const outside = review.room.filter((day) => day.outsideMinutes > 0);
  const min = Math.min(...review.room.map((day) => day.min));
  const max = Math.max(...review.room.map((day) => day.max));
  const rows = outside.map((day) => [
    isoDate(day.day),
    ...[day.min, day.mean, day.max].map((value) => roomTemperature(value, units)),
    `${day.outsideMinutes} min`,
  ]);
  return html`<h2>The room</h2><p>Between ${bandWords(min, max, units).replace(' to ', ' and ')} over ${review.room.length} days.</p>
${rows.length > 0 ? table(['day outside the band', 'least', 'mean', 'most', 'outside'], rows) : ''}`;
}

const STYLE = `
h2 { font-weight: normal; }
.swatch { display: inline-block; width: 0.8em; height: 0.8em; margin: 0 0.2em 0 0.8em; vertical-align: baseline; }
.swatch.delivered { background: ${COLOURS.delivered}; }
.swatch.lost { background: ${COLOURS.lost}; }
.swatch.unknown { background: ${COLOURS.unknown}; }
.swatch.extra { background: ${COLOURS.extra}; }
`;
