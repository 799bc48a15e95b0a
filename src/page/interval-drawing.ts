/**
 * Values side by side: for each row its single values as dots, their mean as a
 * bar and how well it is known as a line.
 *
 * Always holds: all rows stand on one scale, which begins at zero; drawn so
 * narrow that a phone shows it at its full size.
 */

import { html, type Markup } from './html.ts';

/** One row of the drawing. */
export interface IntervalRow {
  readonly label: string;
  readonly values: readonly number[];
  readonly mean: number | undefined;
  readonly low: number | undefined;
  readonly high: number | undefined;
}

const WIDTH = 340;
const ROW = 44;
const LEFT = 4;
const RIGHT = 16;
const LABEL_MOST = 46;
const EDGE = 24;

/** An SVG with a scale below; `say` puts a value in words with its unit, of which the scale has round numbers: one is `unit`. */
export function intervalDrawing(
  title: string,
  rows: readonly IntervalRow[],
  say: (value: number) => string,
  unit = 1,
): Markup {
  const all = rows.flatMap(({ values, mean, low, high }) => [...values, mean ?? 0, low ?? 0, high ?? 0]);
  const [least, most] = [Math.min(0, ...all), Math.max(...all, 1e-9)];
  const at = (value: number): number => LEFT + ((value - least) / (most - least)) * (WIDTH - LEFT - RIGHT);
  const foot = rows.length * ROW + 8;
  const ticks = ticksBetween(least / unit, most / unit).map((tick) => tick * unit);
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${WIDTH} ${foot + 26}" width="${WIDTH}" height="${foot + 26}" role="img" aria-label="${title}">
${ticks.map((tick) => html`<line x1="${place(at(tick))}" x2="${place(at(tick))}" y1="0" y2="${foot}" stroke="#d9d4c7"/><text x="${place(at(tick))}" y="${foot + 16}" font-size="12" fill="#6d6a62" text-anchor="${anchor(at(tick))}">${say(tick)}</text>`)}
${rows.map((row, i) => oneRow(row, i * ROW, at, say))}
</svg>`;
}

/** Words under a tick stand in its middle, but for those that would leave the drawing. */
function anchor(x: number): 'start' | 'middle' | 'end' {
  if (x < EDGE) return 'start';
  return x > WIDTH - EDGE ? 'end' : 'middle';
}

const place = (x: number): string => x.toFixed(1);

function oneRow(
  { label, values, mean, low, high }: IntervalRow,
  top: number,
  at: (value: number) => number,
  say: (value: number) => string,
): Markup {
  const y = top + 30;
  const name = label.length > LABEL_MOST ? `${label.slice(0, LABEL_MOST - 1)}…` : label;
  const line =
    low === undefined || high === undefined
      ? undefined
      : html`<line x1="${place(at(low))}" x2="${place(at(high))}" y1="${y}" y2="${y}" stroke="#2b2a27" stroke-width="2"/>`;
  const bar =
    mean === undefined
      ? undefined
      : html`<line x1="${place(at(mean))}" x2="${place(at(mean))}" y1="${y - 8}" y2="${y + 8}" stroke="#2b2a27" stroke-width="3"/>`;
  const words = mean === undefined ? 'nothing noted' : say(mean);
  return html`<g><title>${label}: ${words}</title>
<text x="${LEFT}" y="${top + 15}" font-size="13" fill="#2b2a27">${name}</text>
${values.map((value) => html`<circle cx="${place(at(value))}" cy="${y}" r="4" fill="#d8a531" fill-opacity="0.7"/>`)}
${line}${bar}</g>`;
}

/** Some round values between two, both ends of the scale among them where they are round. */
function ticksBetween(least: number, most: number): number[] {
  const rough = (most - least) / 4;
  const power = 10 ** Math.floor(Math.log10(rough));
  const step = ([1, 2, 5, 10].find((one) => one * power >= rough) ?? 10) * power;
  const ticks: number[] = [];
  for (let i = Math.ceil(least / step); i * step <= most * 1.0001; i++) ticks.push(i * step);
  return ticks;
}
