/**
 * What the colours of the light stand for: a scale of levels, with the bands
 * that zones ask for.
 *
 * Always holds: the same colours as the drawings, each with its figure.
 */

import { html, type Markup } from './html.ts';
import { cutTo } from './names.ts';
import { levelColour } from './shelf-above.ts';

/** A band with whose it is, lx. */
export interface ScaleBand {
  readonly name: string;
  readonly band: readonly [number, number];
}

const [LEAST, MOST] = [1, 5000];
const [LEFT, WIDTH, BAR, ROW] = [10, 460, 16, 34];
const NAME_SIZE = 13;
const TICKS = [1, 10, 50, 100, 500, 1000, 5000];

const across = (lux: number): number =>
  LEFT + (WIDTH * Math.log(Math.min(MOST, Math.max(LEAST, lux)) / LEAST)) / Math.log(MOST / LEAST);

/** The scale; bands below it, a row each. */
export function levelScale(bands: readonly ScaleBand[]): Markup {
  const height = 46 + bands.length * ROW;
  const steps = Array.from({ length: 92 }, (_, n) => {
    const [from, to] = [n / 92, (n + 1) / 92];
    const lux = LEAST * (MOST / LEAST) ** ((from + to) / 2);
    return html`<rect x="${(LEFT + from * WIDTH).toFixed(1)}" y="2" width="${(WIDTH / 92 + 0.4).toFixed(1)}" height="${BAR}" fill="${levelColour(lux)}"/>`;
  });
  const ticks = TICKS.map(
    (lux) =>
      html`<path d="M${across(lux).toFixed(1)} ${BAR + 2} v5" stroke="#2b2a27"/><text x="${across(lux).toFixed(1)}" y="${BAR + 20}" font-size="12" text-anchor="middle" fill="#2b2a27">${lux}</text>`,
  );
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 620 ${height}" width="620" role="img" aria-label="Colours of the level in lux, with the bands asked for">${steps}${ticks}
<text x="${LEFT + WIDTH + 24}" y="${BAR}" font-size="13" fill="#2b2a27">lx</text>
${bands.map(({ name, band: [low, high] }, row) => {
  const y = 52 + row * ROW;
  const [x, end] = [across(low), across(high)];
  return html`<path d="M${x.toFixed(1)} ${y - 12} v10 H${end.toFixed(1)} v-10" fill="none" stroke="#2b2a27" stroke-width="2"/><text x="${LEFT}" y="${y + 16}" font-size="${NAME_SIZE}" fill="#2b2a27">${cutTo(name, 600, NAME_SIZE)}</text>`;
})}</svg>`;
}
