/**
 * The page that `simulate --page` writes.
 *
 * Always holds: self-contained; says what the simulated controller did, not
 * what the plan asked for.
 */

import { isoDate } from '../../../shared/civil.ts';
import { html, type Markup, page } from '../../page/html.ts';
import { rackDrawing } from '../../page/rack-drawing.ts';
import type { SimulatedDay } from './summary.ts';
import { type Simulation, simulationLines } from './text.ts';

const ROW = 34;
const BAND = 22;
const LEFT = 70;

/** The whole file. */
export function simulationPage(simulation: Simulation): string {
  const { plan } = simulation.plan;
  const body = html`
<h2>The rack, seen from the front</h2>
${rackDrawing(plan)}
<h2>What each zone got, day by day</h2>
${daysDrawing(simulation)}
<p class="soft">Each column is one day; the filled part is the share of the day with light. Letters: the side it came from (B back, R right, F front, L left, E even: no side outweighs its opposite).</p>
<h2>In words</h2>
<pre>${simulationLines(simulation).join('\n')}</pre>`;
  return page(
    `${plan.title || 'Shelf light plan'}: simulated`,
    body,
    'pre { font-size: 0.85rem; overflow-x: auto; }',
  );
}

function daysDrawing({ plan, zoneDays, first, days }: Simulation): Markup {
  const width = Math.min(40, Math.max(8, Math.floor(860 / days)));
  const zones = [...new Set(zoneDays.map(({ zone }) => zone))];
  const cells = zoneDays.map((one) =>
    cell(one, LEFT + (one.day - first) * width, zones.indexOf(one.zone) * ROW + 20, width),
  );
  const names = zones.map(
    (zone, row) =>
      html`<text x="4" y="${row * ROW + 36}" font-size="15">${plan.plan.zones[zone]?.name}</text>`,
  );
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${LEFT + days * width + 10} ${zones.length * ROW + 24}" width="${LEFT + days * width + 10}" role="img" aria-label="Light of each zone, day by day">
<text x="${LEFT}" y="13" font-size="12" fill="#6d6a62">${isoDate(first)}</text>${names}${cells}</svg>`;
}

const LETTERS: Readonly<Record<string, string>> = {
  back: 'B',
  right: 'R',
  front: 'F',
  left: 'L',
  upright: 'E',
};

function cell({ day, seconds }: SimulatedDay, x: number, y: number, width: number): Markup {
  const total = [...seconds.values()].reduce((sum, one) => sum + one, 0);
  const lit = [...seconds].filter(([word]) => word !== 'dark').sort((a, b) => b[1] - a[1]);
  const share = total === 0 ? 0 : lit.reduce((sum, [, count]) => sum + count, 0) / total;
  const main = lit[0]?.[0];
  const words = lit.map(([word, count]) => `${(count / 3600).toFixed(1)} h ${word}`).join(', ') || 'dark';
  return html`<g><title>${isoDate(day)}: ${words}</title><rect x="${x}" y="${y}" width="${width - 1}" height="${BAND}" fill="#5b5750"/>
<rect x="${x}" y="${(y + BAND * (1 - share)).toFixed(1)}" width="${width - 1}" height="${(BAND * share).toFixed(1)}" fill="#d8a531"/>${
    main && width >= 12
      ? html`<text x="${x + width / 2}" y="${y + BAND - 6}" font-size="11" text-anchor="middle">${LETTERS[main] ?? '·'}</text>`
      : ''
  }</g>`;
}
