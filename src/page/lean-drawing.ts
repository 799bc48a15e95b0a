/**
 * The likely lean as an antler in its bag, to scale, seen from the front and
 * from the right, with the room that its assumptions leave for it.
 *
 * Always holds: one millimetre is one unit; an estimate that says so; the range
 * is told by hatching and a broken edge, contact with the film by a mark and a
 * word, never by colour alone.
 */

import type { LeanShape, Reach } from '../../compiler/lean/shape.ts';
import { blockHeight } from '../../compiler/plan/block-height.ts';
import type { ResolvedBag } from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import { antlerBody } from './antler.ts';
import { html, type Markup } from './html.ts';
import { sizeFor } from './names.ts';

const MARGIN = 30;
/** Reach the two views, and below them for their names. */
const GAP = 90;
const BELOW = 44;
const ABOVE = 44;

/** Which way one looks: from the front one sees x, from the right y. */
interface Look {
  readonly axis: 0 | 1;
  readonly name: string;
  readonly ends: readonly [left: string, right: string];
}

const LOOKS: readonly Look[] = [
  { axis: 0, name: 'from the front', ends: ['left', 'right'] },
  { axis: 1, name: 'from the right', ends: ['front', 'back'] },
];

/** The drawing; `id` tells it from others on the page, `name` what it is of. */
export function leanDrawing(bag: ResolvedBag, shape: LeanShape, name: string, id: string): Markup {
  const [across, deep] = bag.footprint;
  const width = across + deep + GAP + 2 * MARGIN;
  const height = bag.height + ABOVE + BELOW;
  const middles = [MARGIN + across / 2, MARGIN + across + GAP + deep / 2];
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 ${-bag.height - ABOVE} ${width} ${height}" width="${Math.round(width * 0.55)}" role="img" aria-label="Likely lean of ${name}, an estimate">
<defs><pattern id="${id}" width="9" height="9" patternUnits="userSpaceOnUse"><path d="M0 9 L9 0" stroke="#7a4b1e" stroke-width="1.6"/></pattern></defs>
${LOOKS.map((look, n) => view(bag, shape, look, itemAt(middles, n), id))}
</svg>`;
}

function view(
  bag: ResolvedBag,
  shape: LeanShape,
  { axis, name, ends }: Look,
  middle: number,
  id: string,
): Markup {
  const half = bag.footprint[axis] / 2;
  const block = blockHeight(bag);
  const endSize = sizeFor(ends.join(' '), 2 * half - 6, ABOVE, 18);
  const nameSize = sizeFor(name, 2 * half + GAP - 10, BELOW, 20);
  const label = (x: number, words: string, anchor: string): Markup =>
    html`<text x="${x}" y="${-bag.height - 10}" font-size="${endSize.toFixed(1)}" text-anchor="${anchor}" fill="#625f57">${words}</text>`;
  return html`<g transform="translate(${middle} 0)">
<rect x="${-half}" y="${-bag.height}" width="${2 * half}" height="${bag.height}" rx="14" fill="#ffffff" stroke="#6d6a62" stroke-width="2.5"/>
<rect x="${-half + 4}" y="${-block}" width="${2 * half - 8}" height="${block}" rx="8" fill="#b08a5e"/>
${label(-half, itemAt(ends, 0), 'start')}${label(half, itemAt(ends, 1), 'end')}
<g transform="translate(0 ${(-block).toFixed(1)})">${antler(shape, axis, id)}${tips(shape, half - 16)}</g>
<text x="0" y="30" font-size="${nameSize.toFixed(1)}" text-anchor="middle" fill="#2b2a27">${name}</text>
</g>`;
}

/** The growth alone, its root at the origin, up is up. */
function antler(shape: LeanShape, axis: 0 | 1, id: string): Markup {
  const range = bandOutline(shape, axis);
  return html`${range === '' ? '' : html`<path d="${range}" fill="url(#${id})" stroke="#7a4b1e" stroke-width="1.5" stroke-dasharray="6 4"/>`}
${antlerBody(shape.path, axis)}${contactMark(shape, axis)}`;
}

function bandOutline({ band }: LeanShape, axis: 0 | 1): string {
  if (band.length < 2) return '';
  const of = (one: LeanShape['band'][number]): Reach => (axis === 0 ? one.x : one.y);
  const up = band.map((one) => `${of(one)[0].toFixed(1)} ${(-one.z).toFixed(1)}`);
  const down = [...band].reverse().map((one) => `${of(one)[1].toFixed(1)} ${(-one.z).toFixed(1)}`);
  return `M${[...up, ...down].join(' L')} Z`;
}

/** From the lowest to the highest tip that the assumptions allow, and the likely one: a bracket at the bag's edge. */
function tips({ height, day }: LeanShape, x: number): Markup {
  if (day < 1 || height.high - height.low < 2) return html``;
  const [top, low, mid] = [height.high, height.low, height.mid].map((one) => (-one).toFixed(1));
  return html`<path d="M${x - 7} ${top} h14 M${x} ${top} V${low} M${x - 7} ${low} h14" fill="none" stroke="#2b2a27" stroke-width="2"/><circle cx="${x}" cy="${mid}" r="5" fill="#2b2a27"/>`;
}

/** A ring with a cross where the likely tip meets the film. */
function contactMark({ contact }: LeanShape, axis: 0 | 1): Markup {
  if (!contact) return html``;
  const [x, y] = [contact[axis].toFixed(1), (-contact[2]).toFixed(1)];
  return html`<g transform="translate(${x} ${y})"><title>the likely tip meets the film here</title><circle r="13" fill="#fdfcf8" stroke="#2b2a27" stroke-width="3"/><path d="M-7 -7 L7 7 M7 -7 L-7 7" stroke="#2b2a27" stroke-width="3"/></g>`;
}
