/**
 * One shelf seen from above, drawn to scale, with the light in its bags at one
 * height: the level as cells, the way it pulls as an arrow.
 *
 * Always holds: one millimetre is one unit of the drawing, the front edge is
 * below; whatever a colour says, hatching, arrows or figures say too.
 */

import { blockHeight } from '../../compiler/plan/block-height.ts';
import { lampPoints } from '../../compiler/plan/lamp-points.ts';
import type {
  BagPlace,
  ResolvedBag,
  ResolvedLamp,
  ResolvedPlan,
  ResolvedShelf,
  ResolvedZone,
} from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import { sideWord } from '../words/sides.ts';
import { html, type Markup } from './html.ts';
import {
  type Anchor,
  boxOf,
  cutTo,
  type PlacedName,
  sizeFor,
  type TextBox,
  takePlace,
  textWidth,
} from './names.ts';
import { isStanding, marks, placeMarks, placeTitle, type ShownAs, standingIn } from './shown-as.ts';

/** The light of one bag, as it is drawn. */
export interface BagGlow {
  /** Mean level, lx. */
  readonly level: number;
  /** Levels at `across` × `deep` cells of the headspace at the height looked at, x fastest, lx; none inside the block. */
  readonly cells: readonly number[];
  /** Level part of the pull, x and y, lx. */
  readonly pull: readonly [number, number];
  /** Band asked for, lx. */
  readonly band: readonly [number, number] | undefined;
  /** A word where it is not as asked for, such as `unlit`. */
  readonly fault: string | undefined;
  /** Told in place of the level. */
  readonly say?: string | undefined;
}

/** The level at one place between the bags, lx, and the band of the zone it is in. */
export interface OpenGlow {
  readonly x: number;
  readonly y: number;
  readonly level: number;
  readonly band: readonly [number, number] | undefined;
}

/** The light between the bags: places, each the middle of `step` (x and y, mm). */
export interface OpenLight {
  readonly places: readonly OpenGlow[];
  readonly step: readonly [number, number];
}

const MARGIN = 60;
/** Cells of a bag's headspace in x and y. */
const ACROSS = 3;
const DEEP = 3;
/** A pull of a thousand lux is drawn this long, mm; a weaker one by its square root. */
const ARROW = 90;

/** The drawing; `glow` by the bag's name, `open` between the bags. */
export function shelfAbove(
  plan: ResolvedPlan,
  index: number,
  shown: ShownAs,
  glow: ReadonlyMap<string, BagGlow> = new Map(),
  open?: OpenLight,
): Markup {
  const shelf = itemAt(plan.shelves, index);
  const width = shelf.width + 2 * MARGIN;
  const id = `above-${index}`;
  const zones = plan.zones.map((zone, at) => ({ zone, at })).filter(({ zone }) => zone.shelf === index);
  const figures = zones.flatMap(({ zone, at }) => {
    const bag = plan.bags[standingIn(plan, at, shown)];
    return zone.places.flatMap((place) => {
      const own = glow.get(place.name);
      return bag && own ? [figureOf(own, place, bag)] : [];
    });
  });
  const labels = zones.flatMap(({ zone, at }) =>
    bagLabels(zone, plan.bags[Math.max(0, standingIn(plan, at, shown))], shown),
  );
  const taken = [...figures.map(({ box }) => box), ...labels.map(boxOf)];
  const title = cutTo(`${shelf.name}, front`, shelf.width, 24);
  // Bags may hang over the front edge.
  const front = takePlace(
    Array.from({ length: 12 }, (_, n) => ({
      ...{ text: title, x: 0, y: 34 + 30 * n, size: 24, anchor: 'start' as const },
    })),
    taken,
  );
  const names = zones.map(({ zone }) => zoneName(zone, taken));
  const lowest = Math.max(MARGIN, ...taken.map((one) => one.y + one.height + 10));
  const height = shelf.depth + MARGIN + lowest;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${-MARGIN} ${-shelf.depth - MARGIN} ${width} ${height.toFixed(0)}" width="${Math.round(width / 2)}" role="${shown.pick ? 'group' : 'img'}" aria-label="Shelf ${shelf.name} seen from above">
${hatching(id)}
<rect x="0" y="${-shelf.depth}" width="${shelf.width}" height="${shelf.depth}" fill="#f4efe2" stroke="#8f8467" stroke-width="3"/>
<text x="0" y="${front?.y ?? 34}" font-size="24" fill="#625f57">${title}</text>
${open ? openLight(open, id) : ''}
${windows(plan, shelf)}
${zones.map(({ zone, at }) => zoneAbove(plan, zone, standingIn(plan, at, shown), shown, glow, id))}
${figures.map(figure)}${labels.map(bagLabel)}${names}
${plan.screens.filter((screen) => screen.shelf === index).map((screen) => screenAbove(screen, shown))}
${plan.lamps.filter((lamp) => lamp.shelf === index).map((lamp) => lampAbove(lamp, shown))}
</svg>`;
}

/** Below the band falling lines, above it crossed ones. */
function hatching(id: string): Markup {
  return html`<defs><pattern id="${id}-below" width="14" height="14" patternUnits="userSpaceOnUse"><path d="M0 0 L14 14" stroke="#ffffff" stroke-width="2.5"/></pattern>
<pattern id="${id}-over" width="14" height="14" patternUnits="userSpaceOnUse"><path d="M0 0 L14 14 M14 0 L0 14" stroke="#2b2a27" stroke-width="2"/></pattern></defs>`;
}

/** Plain cells, hatched like those of the bags where the zone they are in has a band. */
function openLight({ places, step: [across, deep] }: OpenLight, id: string): Markup {
  const cell = ({ x, y, level, band }: OpenGlow): Markup[] => {
    const place = html`x="${(x - across / 2).toFixed(1)}" y="${(-y - deep / 2).toFixed(1)}" width="${across.toFixed(1)}" height="${deep.toFixed(1)}"`;
    const hatch = hatchOf(level, band);
    return [
      html`<rect ${place} fill="${levelColour(level)}"><title>${Math.round(level)} lx between the bags</title></rect>`,
      hatch
        ? html`<rect ${place} fill="url(#${id}-${hatch})" fill-opacity="0.55" pointer-events="none"/>`
        : html``,
    ];
  };
  return html`<g class="open-light" shape-rendering="crispEdges">${places.map(cell)}</g>`;
}

const hatchOf = (level: number, band: BagGlow['band']): 'below' | 'over' | '' =>
  !band ? '' : level < band[0] ? 'below' : level > band[1] ? 'over' : '';

/** Light that comes anyway: an arrow at the edge it comes over. */
function windows(plan: ResolvedPlan, shelf: ResolvedShelf): Markup[] {
  return plan.background.flatMap(({ name, from, level }) => {
    if (from === 'above') return [];
    const turn = (from * Math.PI) / 180;
    const [x, y] = [shelf.width * (0.5 + 0.5 * Math.sin(turn)), -shelf.depth * (0.5 + 0.5 * Math.cos(turn))];
    const words = `${name}: ${Math.round(level)} lx from the ${sideWord(from)}`;
    return [
      html`<g transform="translate(${x.toFixed(1)} ${y.toFixed(1)}) rotate(${from + 180})" stroke="#4a6d8c" stroke-width="6" fill="none"><title>${words}</title><path d="M0 46 V8 M-12 22 L0 6 L12 22"/></g>`,
    ];
  });
}

function zoneAbove(
  plan: ResolvedPlan,
  zone: ResolvedZone,
  kind: number,
  shown: ShownAs,
  glow: ReadonlyMap<string, BagGlow>,
  id: string,
): Markup {
  const [width, depth] = [zone.x[1] - zone.x[0], zone.y[1] - zone.y[0]];
  const bag = plan.bags[Math.max(0, kind)];
  return html`<g${marks('zone', zone.name, shown)}><title>zone ${zone.name}</title>
<rect x="${zone.x[0]}" y="${-zone.y[1]}" width="${width}" height="${depth}" fill="#ffffff" fill-opacity="${glow.size > 0 ? 0 : 0.35}" stroke="#9a958a" stroke-width="2" stroke-dasharray="10 8"/>
${bag ? zone.places.map((place) => bagAbove(bag, place, isStanding(place.name, kind >= 0, shown), kind >= 0 ? glow.get(place.name) : undefined, id, shown)) : ''}</g>`;
}

function bagAbove(
  bag: ResolvedBag,
  place: BagPlace,
  stands: boolean,
  glow: BagGlow | undefined,
  id: string,
  shown: ShownAs,
): Markup {
  const [width, depth] = bag.footprint;
  const [left, top] = [place.x - width / 2, -place.y - depth / 2];
  const words = glow
    ? `${Math.round(glow.level)} lx${glow.fault ? `, ${glow.fault}` : ''}`
    : stands
      ? ''
      : 'empty place';
  const title = `${placeTitle(place.name, shown)}${words && !shown.bags ? `: ${words}` : ''}`;
  return html`<g${placeMarks(place.name, shown)}><title>${title}</title>
<rect x="${left}" y="${top}" width="${width}" height="${depth}" rx="10" fill="${stands ? '#c9a87c' : shown.bags ? '#fdfcf8' : 'none'}" stroke="#6d6a62" stroke-width="2"${stands ? '' : html` stroke-dasharray="8 8"`}/>
${glow ? cells(glow, left, top, width, depth, id) : ''}${glow && glow.cells.length > 0 ? html`<rect x="${left}" y="${top}" width="${width}" height="${depth}" fill="none" stroke="#2b2a27" stroke-width="3" pointer-events="none"/>` : ''}${glow ? arrow(glow, place) : ''}</g>`;
}

/** The name of a bag where single ones can be picked, as large as it fits. */
interface BagLabel extends PlacedName {
  readonly place: string;
}

function bagLabels(zone: ResolvedZone, bag: ResolvedBag | undefined, { bags }: ShownAs): BagLabel[] {
  if (!bag || !bags) return [];
  const [width, depth] = [bag.footprint[0] - 2 * PAD, bag.footprint[1] - 2 * PAD];
  return zone.places.flatMap(({ name: place, x, y }) => {
    const name = bags.get(place);
    if (name === undefined) return [];
    const size = Math.max(NAME_LEAST, sizeFor(name, width, depth, FIGURE_SIZE));
    return [{ place, text: cutTo(name, width, size), x, y: -y + size / 3, size, anchor: 'middle' as const }];
  });
}

/** Beside the places, whose own names it would be read into. */
const bagLabel = ({ place, text, x, y, size }: BagLabel): Markup =>
  html`<text x="${x}" y="${y.toFixed(1)}" font-size="${size.toFixed(1)}" text-anchor="middle" fill="#2b2a27" pointer-events="none" aria-hidden="true" data-of="${place}">${text}</text>`;

const NAME_LEAST = 14;

function cells(glow: BagGlow, left: number, top: number, width: number, depth: number, id: string): Markup[] {
  const [across, down] = [width / ACROSS, depth / DEEP];
  return glow.cells.slice(0, ACROSS * DEEP).flatMap((level, n) => {
    // The first row of cells is the front one, which is drawn lowest.
    const [x, y] = [left + (n % ACROSS) * across, top + (DEEP - 1 - Math.floor(n / ACROSS)) * down];
    const place = html`x="${x.toFixed(1)}" y="${y.toFixed(1)}" width="${across.toFixed(1)}" height="${down.toFixed(1)}"`;
    const hatch = hatchOf(level, glow.band);
    return [
      html`<rect ${place} fill="${levelColour(level)}"><title>${Math.round(level)} lx</title></rect>`,
      hatch ? html`<rect ${place} fill="url(#${id}-${hatch})" pointer-events="none"/>` : html``,
    ];
  });
}

function arrow({ pull }: BagGlow, { x, y }: BagPlace): Markup {
  const strength = Math.hypot(pull[0], pull[1]);
  if (strength < 1) return html``;
  const length = Math.max(24, ARROW * Math.min(1, Math.sqrt(strength / 1000)));
  const angle = (Math.atan2(pull[0], pull[1]) * 180) / Math.PI;
  return html`<g transform="translate(${x} ${-y}) rotate(${angle.toFixed(1)})" fill="none" pointer-events="none"><path d="M0 0 V${(-length).toFixed(1)} M-11 ${(-length + 16).toFixed(1)} L0 ${(-length).toFixed(1)} L11 ${(-length + 16).toFixed(1)}" stroke="#ffffff" stroke-width="11" stroke-linejoin="round"/><path d="M0 0 V${(-length).toFixed(1)} M-11 ${(-length + 16).toFixed(1)} L0 ${(-length).toFixed(1)} L11 ${(-length + 16).toFixed(1)}" stroke="#2b2a27" stroke-width="5"/></g>`;
}

/** The figures of a bag: where they stand, and what they say, a line each. */
interface Figure {
  readonly box: TextBox;
  readonly lines: readonly string[];
  readonly size: number;
  readonly fault: boolean;
}

/** All inside the bag's own footprint, on the side of the middle that the arrow leaves free. */
function figureOf({ level, fault, say, pull }: BagGlow, { x, y }: BagPlace, bag: ResolvedBag): Figure {
  const lines = say === undefined ? [`${Math.round(level)}`, ...(fault ? [fault] : [])] : [say];
  const [across, deep] = [bag.footprint[0] - 2 * PAD, bag.footprint[1] - 2 * PAD];
  const longest = lines.reduce((a, b) => (textWidth(a, 1) > textWidth(b, 1) ? a : b));
  const size = sizeFor(longest, across, deep / lines.length, FIGURE_SIZE);
  const [width, height] = [textWidth(longest, size) + PAD, lines.length * LINE * size + PAD];
  const free = pull[1] < 0 ? -y - 12 - height : -y + 12;
  const top = Math.min(Math.max(free, -y - bag.footprint[1] / 2), -y + bag.footprint[1] / 2 - height);
  return { box: { x: x - width / 2, y: top, width, height }, lines, size, fault: fault !== undefined };
}

const FIGURE_SIZE = 28;
const PAD = 4;
const LINE = 1.25;

/** Not inside the zone's part: what it is called and what it shows would be read as one. */
function figure({ box, lines, size, fault }: Figure): Markup {
  const middle = box.x + box.width / 2;
  const line = (words: string, n: number): Markup =>
    html`<text x="${middle.toFixed(1)}" y="${(box.y + PAD / 2 + (n * LINE + 0.97) * size).toFixed(1)}" font-size="${size.toFixed(1)}" text-anchor="middle" fill="#2b2a27">${words}</text>`;
  return html`<g pointer-events="none" aria-hidden="true"><rect x="${box.x.toFixed(1)}" y="${box.y.toFixed(1)}" width="${box.width.toFixed(1)}" height="${box.height.toFixed(1)}" rx="6" fill="#fdfcf8" fill-opacity="0.92"${fault ? html` stroke="#2b2a27" stroke-width="2.5"` : ''}/>${lines.map(line)}</g>`;
}

/** A zone's name in a corner of it that no figure takes, else outside it, else in lines below the shelf. */
function zoneName({ name, x, y }: ResolvedZone, taken: TextBox[]): Markup {
  const text = cutTo(name, Math.max(120, x[1] - x[0] - 16), NAME_SIZE);
  const at = (px: number, py: number, anchor: Anchor) => ({ text, x: px, y: py, size: NAME_SIZE, anchor });
  const below = Array.from({ length: 12 }, (_, n) => at(x[0], 34 + NAME_LINE * (n + 1), 'start'));
  const place = takePlace(
    [
      ...[at(x[0] + 8, -y[1] + 30, 'start'), at(x[1] - 8, -y[1] + 30, 'end')],
      ...[at(x[0] + 8, -y[0] - 10, 'start'), at(x[1] - 8, -y[0] - 10, 'end')],
      ...[at(x[0] + 8, -y[1] - 10, 'start'), at(x[0] + 8, -y[0] + 30, 'start')],
      ...below,
    ],
    taken,
  );
  if (!place) return html``;
  return html`<text x="${place.x}" y="${place.y}" font-size="${NAME_SIZE}" text-anchor="${place.anchor}" fill="#2b2a27" paint-order="stroke" stroke="#fdfcf8" stroke-width="7" stroke-linejoin="round" pointer-events="none">${text}</text>`;
}

const NAME_SIZE = 30;
const NAME_LINE = 40;

/** Blue-black for dark to straw for bright: the lightness alone tells the order. */
const SCALE: readonly (readonly [lux: number, red: number, green: number, blue: number])[] = [
  [1, 20, 24, 48],
  [10, 38, 52, 96],
  [60, 74, 98, 128],
  [250, 140, 142, 122],
  [800, 212, 190, 112],
  [3000, 252, 240, 190],
];

/** The colour of a level, lx. */
export function levelColour(level: number): string {
  const at = SCALE.findIndex(([lux]) => level < lux);
  const last = itemAt(SCALE, SCALE.length - 1);
  const [low, high] =
    at === 0
      ? [itemAt(SCALE, 0), itemAt(SCALE, 0)]
      : at < 0
        ? [last, last]
        : [itemAt(SCALE, at - 1), itemAt(SCALE, at)];
  const part = low === high ? 0 : Math.log(level / low[0]) / Math.log(high[0] / low[0]);
  const mix = (n: 1 | 2 | 3): number => Math.round(low[n] + (high[n] - low[n]) * part);
  return `rgb(${mix(1)} ${mix(2)} ${mix(3)})`;
}

function screenAbove({ name, from, to }: ResolvedPlan['screens'][number], shown: ShownAs): Markup {
  const [left, right] = [Math.min(from[0], to[0]), Math.max(from[0], to[0])];
  const [front, back] = [Math.min(from[1], to[1]), Math.max(from[1], to[1])];
  const [width, depth] = [Math.max(8, right - left), Math.max(8, back - front)];
  return html`<rect${marks('screen', name, shown)} x="${(left + right - width) / 2}" y="${-(front + back + depth) / 2}" width="${width}" height="${depth}" fill="#5b5750"><title>screen ${name}</title></rect>`;
}

function lampAbove(lamp: ResolvedLamp, shown: ShownAs): Markup {
  const points = lampPoints(lamp.shape, lamp.facing);
  const [first, last] = [itemAt(points, 0), itemAt(points, points.length - 1)];
  const centre = [0, 1].map(
    (axis) => points.reduce((sum, point) => sum + (point[axis as 0 | 1] ?? 0), 0) / points.length,
  );
  const [x, y] = [itemAt(centre, 0), itemAt(centre, 1)];
  const flat = Math.hypot(lamp.facing[0], lamp.facing[1]);
  const angle = (Math.atan2(lamp.facing[0], lamp.facing[1]) * 180) / Math.PI;
  const body =
    lamp.shape.kind === 'spot'
      ? html`<circle cx="${x}" cy="${-y}" r="14"/>`
      : html`<path d="M${first[0]} ${-first[1]} L${last[0]} ${-last[1]}" stroke-width="16" stroke-linecap="round"/>`;
  const isOff = shown.burning !== undefined && !shown.burning.has(lamp.name);
  // An arrow of its light marks a lamp that burns.
  const beam =
    flat < 0.2 || isOff
      ? html``
      : html`<path transform="translate(${x} ${-y}) rotate(${angle.toFixed(1)})" d="M0 -10 V-46 M-9 -34 L0 -48 L9 -34" stroke-width="5" fill="none"/>`;
  return html`<g${marks('lamp', lamp.name, shown)} stroke="#b8860b" fill="#d8a531"><title>lamp ${lamp.name}</title>${body}${beam}</g>`;
}

/** The levels of a bag's cells at a height above the shelf, between the layers of points that were worked out; none in the block. */
export function cellsAt(bag: ResolvedBag, points: readonly number[], height: number): number[] {
  const [layer, block] = [ACROSS * DEEP, blockHeight(bag)];
  const layers = points.length / layer;
  if (height < block || height > bag.height || layers < 1) return [];
  const at = ((height - block) / (bag.height - block)) * layers - 0.5;
  const low = Math.min(layers - 1, Math.max(0, Math.floor(at)));
  const high = Math.min(layers - 1, low + 1);
  const part = Math.min(1, Math.max(0, at - low));
  return Array.from({ length: layer }, (_, n) => {
    const [a, b] = [itemAt(points, low * layer + n), itemAt(points, high * layer + n)];
    return a + (b - a) * part;
  });
}
