/**
 * The rack seen from the front, drawn to scale: decks, blocks in their bags,
 * lamps and the way they shine, screens.
 *
 * Always holds: one millimetre is one unit of the drawing; what stands behind
 * is drawn first.
 */

import { assignRacks } from '../../compiler/light/scene.ts';
import { blockHeight } from '../../compiler/plan/block-height.ts';
import type {
  ResolvedBag,
  ResolvedLamp,
  ResolvedPlan,
  ResolvedShelf,
  ResolvedZone,
  Vec3,
} from '../../compiler/plan/plan.ts';
import { itemAt } from '../../shared/assert.ts';
import { antlerBody } from './antler.ts';
import { html, type Markup } from './html.ts';
import { cutTo, type TextBox, takePlace, textWidth } from './names.ts';
import { isStanding, marks, placeMarks, placeTitle, type ShownAs, standingIn } from './shown-as.ts';

const MARGIN = 60;
const BOARD = 18;
/** Room for the names below a shelf that is drawn alone. */
const BELOW = 50;
/** Sizes of the names of shelves and zones, and the widest a shelf's may be. */
const SHELF_SIZE = 24;
const ZONE_SIZE = 30;
const SHELF_NAME_MOST = 320;
/** Between racks that stand beside each other. */
const BETWEEN_RACKS = 120;

/** An SVG of the whole rack; zones without a batch show empty. Shelves that are not over each other are drawn side by side. */
export function rackDrawing(plan: ResolvedPlan): Markup {
  const top = Math.max(...plan.shelves.map((shelf) => shelf.height + shelf.clear));
  const bottom = Math.min(...plan.shelves.map((shelf) => shelf.height)) - BOARD;
  const racks = racksOf(plan);
  const last = itemAt(racks, racks.length - 1);
  const width = last.left + last.names + last.width;
  const view = `${-MARGIN} ${-MARGIN} ${width + 2 * MARGIN} ${top - bottom + 2 * MARGIN}`;
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${view}" width="${Math.round((width + 2 * MARGIN) / 2)}" role="img" aria-label="The rack seen from the front">
${racks.map(
  ({ left, names, shelves }) =>
    html`<g transform="translate(${left + names} 0)">${shelves.map((index) => {
      const shelf = itemAt(plan.shelves, index);
      const name = cutTo(shelf.name, SHELF_NAME_MOST, SHELF_SIZE);
      return html`${shelfDrawing(plan, shelf, index, top - shelf.height)}<text x="-24" y="${top - shelf.height + 14}" font-size="${SHELF_SIZE}" text-anchor="end" fill="#625f57">${name}${name === shelf.name ? '' : html`<title>shelf ${shelf.name}</title>`}</text>`;
    })}</g>`,
)}
</svg>`;
}

/** A rack in the drawing: where it begins, the room for the names left of it, its shelves (indices). */
interface DrawnRack {
  readonly left: number;
  readonly names: number;
  readonly width: number;
  readonly shelves: readonly number[];
}

function racksOf(plan: ResolvedPlan): DrawnRack[] {
  const found: DrawnRack[] = [];
  const rackOf = assignRacks(plan.shelves);
  for (let rack = 0; rack <= Math.max(...rackOf); rack++) {
    const shelves = rackOf.flatMap((of, index) => (of === rack ? [index] : []));
    const nameWidth = (index: number): number =>
      Math.min(SHELF_NAME_MOST, textWidth(itemAt(plan.shelves, index).name, SHELF_SIZE));
    const before = found[found.length - 1];
    found.push({
      left: before ? before.left + before.names + before.width + BETWEEN_RACKS : 0,
      names: Math.max(...shelves.map(nameWidth)),
      width: Math.max(...shelves.map((index) => itemAt(plan.shelves, index).width)),
      shelves,
    });
  }
  return found;
}

/** One shelf alone, from its board up to the next; the drawing's x is the shelf's, its y counts down from the surface. */
export function shelfFront(plan: ResolvedPlan, index: number, shown: ShownAs, more?: Markup): Markup {
  const shelf = itemAt(plan.shelves, index);
  const [width, height] = [shelf.width + 2 * MARGIN, shelf.clear + MARGIN + BELOW];
  return html`<svg xmlns="http://www.w3.org/2000/svg" viewBox="${-MARGIN} ${-shelf.clear - MARGIN} ${width} ${height}" width="${Math.round(width / 2)}" role="${shown.pick ? 'group' : 'img'}" aria-label="Shelf ${shelf.name} seen from the front">
<line x1="0" y1="${-shelf.clear}" x2="${shelf.width}" y2="${-shelf.clear}" stroke="#8f8467" stroke-width="6"/>
${shelfDrawing(plan, shelf, index, 0, shown)}
<text x="${shelf.width / 2}" y="${BOARD + 26}" font-size="${SHELF_SIZE}" text-anchor="middle" fill="#625f57">${cutTo(shelf.name, width, SHELF_SIZE)}</text>${more}
</svg>`;
}

/** `floor`: the drawing's y of the shelf's surface. */
function shelfDrawing(
  plan: ResolvedPlan,
  shelf: ResolvedShelf,
  index: number,
  floor: number,
  shown: ShownAs = {},
): Markup {
  const wire = shelf.deckPasses > 0;
  return html`<g transform="translate(0 ${floor})">
<rect x="0" y="0" width="${shelf.width}" height="${wire ? BOARD / 3 : BOARD}" fill="${wire ? 'none' : '#cbbfa6'}" stroke="#8f8467" stroke-width="3"${wire ? html` stroke-dasharray="12 8"` : ''}/>
${lamps(plan, index, true, shown)}${screens(plan, index, shown)}${bags(plan, index, shown)}${lamps(plan, index, false, shown)}
</g>`;
}

function screens(plan: ResolvedPlan, shelf: number, shown: ShownAs): Markup[] {
  return plan.screens
    .filter((screen) => screen.shelf === shelf)
    .map(({ name, from, to }) => {
      const [left, right] = [Math.min(from[0], to[0]), Math.max(from[0], to[0])];
      const [low, high] = [Math.min(from[2], to[2]), Math.max(from[2], to[2])];
      const width = Math.max(8, right - left);
      return html`<rect${marks('screen', name, shown)} x="${left - (width - (right - left)) / 2}" y="${-high}" width="${width}" height="${high - low}" fill="#8d8a83" fill-opacity="${right - left > 50 ? 0.25 : 1}"><title>screen ${name}</title></rect>`;
    });
}

function bags(plan: ResolvedPlan, shelf: number, shown: ShownAs): Markup[] {
  const taken: TextBox[] = [];
  return plan.zones.flatMap((zone, index) => {
    if (zone.shelf !== shelf) return [];
    const kind = standingIn(plan, index, shown);
    const bag = plan.bags[Math.max(0, kind)];
    if (!bag) return [];
    const [width] = bag.footprint;
    const block = blockHeight(bag);
    const way = kind >= 0 ? shown.growth?.get(zone.name) : undefined;
    const antler = (x: number, up: number): Markup =>
      way ? html`<g transform="translate(${x} ${-up})">${antlerBody(way, 0)}</g>` : html``;
    const behindFirst = [...zone.places].sort((a, b) => b.y - a.y);
    const drawn = behindFirst.map((place) => {
      const stands = isStanding(place.name, kind >= 0, shown);
      return html`<g${placeMarks(place.name, shown)}><title>${placeTitle(place.name, shown)}</title>
<rect x="${place.x - width / 2}" y="${-bag.height}" width="${width}" height="${bag.height}" rx="14" fill="#ffffff" fill-opacity="0.55" stroke="#9a958a" stroke-width="2"${stands ? '' : html` stroke-dasharray="8 8"`}/>
<rect x="${place.x - width / 2 + 4}" y="${-block}" width="${width - 8}" height="${block}" rx="8" fill="#b08a5e"${stands ? '' : html` fill-opacity="0.3"`}/>${antler(place.x, block)}</g>`;
    });
    return [
      html`<g${marks('zone', zone.name, shown)}>${drawn}
${zoneName(plan, zone, bag, taken)}</g>`,
    ];
  });
}

/** A zone's name above its bags where that is below the next board, else upon them; a zone behind another has its own line. */
function zoneName(plan: ResolvedPlan, zone: ResolvedZone, bag: ResolvedBag, taken: TextBox[]): Markup {
  const { clear } = itemAt(plan.shelves, zone.shelf);
  const room = Math.max(zone.x[1] - zone.x[0], bag.footprint[0]);
  const text = cutTo(zone.name, room, ZONE_SIZE);
  const top = Math.min(bag.height, clear);
  const lines = Array.from(
    { length: Math.floor(top / ZONE_LINE) },
    (_, n) => -top + ZONE_SIZE + 6 + n * ZONE_LINE,
  );
  const above = bag.height + 14 + ZONE_SIZE <= clear ? [-bag.height - 14] : [];
  const placed = takePlace(
    [...above, ...lines].map((y) => ({
      ...{ text, x: (zone.x[0] + zone.x[1]) / 2, y, size: ZONE_SIZE, anchor: 'middle' },
    })),
    taken,
  );
  if (!placed) return html``;
  return html`<text x="${placed.x}" y="${placed.y}" font-size="${ZONE_SIZE}" text-anchor="middle" fill="#2b2a27" paint-order="stroke" stroke="#fdfcf8" stroke-width="6" stroke-linejoin="round">${text}${text === zone.name ? '' : html`<title>zone ${zone.name}</title>`}</text>`;
}

/** Lines of names upon bags stand so far apart. */
const ZONE_LINE = 40;

/** The lamps behind the middle of the shelf, or those that are not. */
function lamps(plan: ResolvedPlan, shelf: number, behind: boolean, shown: ShownAs): Markup[] {
  const middle = itemAt(plan.shelves, shelf).depth / 2;
  return plan.lamps
    .filter((lamp) => lamp.shelf === shelf && centre(lamp)[1] > middle === behind)
    .map((lamp) => lampDrawing(plan, lamp, shown));
}

const ARROW = 85;
/** The marks of a lamp in front and of one behind it stand side by side. */
const APART = 24;

function lampDrawing(plan: ResolvedPlan, lamp: ResolvedLamp, shown: ShownAs): Markup {
  const [x, , z] = centre(lamp);
  const [fx, , fz] = lamp.facing;
  const flat = Math.hypot(fx, fz);
  const title = html`<title>lamp ${lamp.name}, ${where(plan, lamp)}, ${Math.round(lamp.flux)} lm</title>`;
  if (flat < 0.2)
    return html`<g${marks('lamp', lamp.name, shown)}>${title}${body(lamp)}${towardOrAway(lamp, x + (lamp.facing[1] < 0 ? APART : -APART), z)}</g>`;
  const [ux, uz] = [fx / flat, fz / flat];
  const [tipX, tipZ] = [x + ux * ARROW, z + uz * ARROW];
  if (shown.burning && !shown.burning.has(lamp.name))
    return html`<g${marks('lamp', lamp.name, shown)} stroke="#b8860b" stroke-width="5" fill="#d8a531">${title}${body(lamp)}</g>`;
  const wing = (side: number): string =>
    `${tipX - ux * 22 - side * uz * 12},${-(tipZ - uz * 22 + side * ux * 12)}`;
  return html`<g${marks('lamp', lamp.name, shown)} stroke="#b8860b" stroke-width="5" fill="#d8a531">${title}${body(lamp)}
<line x1="${x}" y1="${-z}" x2="${tipX}" y2="${-tipZ}"/><polygon points="${tipX},${-tipZ} ${wing(1)} ${wing(-1)}" stroke="none"/></g>`;
}

/** A lamp in front or behind shines along the view: a ring with a dot (toward the viewer) or a cross (away). */
function towardOrAway(lamp: ResolvedLamp, x: number, z: number): Markup {
  const ring = html`<circle cx="${x}" cy="${-z}" r="16" fill="#fdfcf8" stroke="#b8860b" stroke-width="4"/>`;
  if (lamp.facing[1] < 0) return html`${ring}<circle cx="${x}" cy="${-z}" r="5" fill="#b8860b"/>`;
  return html`${ring}<path d="M${x - 10} ${-z - 10} l20 20 m0 -20 l-20 20" stroke="#b8860b" stroke-width="4"/>`;
}

function body(lamp: ResolvedLamp): Markup {
  const { shape } = lamp;
  if (shape.kind === 'spot')
    return html`<circle cx="${shape.at[0]}" cy="${-shape.at[2]}" r="12" fill="#d8a531"/>`;
  if (shape.kind === 'strip') {
    const [x1, , z1] = shape.from;
    const [x2, , z2] = shape.to;
    return html`<line x1="${x1 - 6}" y1="${-z1}" x2="${x2 + 6}" y2="${-z2}" stroke="#d8a531" stroke-width="14" stroke-linecap="round"/>`;
  }
  const [width, height] = shape.size;
  const across = Math.abs(lamp.facing[0]) > 0.7 ? 12 : width;
  const up = Math.abs(lamp.facing[2]) > 0.7 ? 12 : height;
  return html`<rect x="${shape.at[0] - across / 2}" y="${-shape.at[2] - up / 2}" width="${across}" height="${up}" fill="#d8a531" fill-opacity="0.6"/>`;
}

function centre({ shape }: ResolvedLamp): Vec3 {
  if (shape.kind !== 'strip') return shape.at;
  const { from, to } = shape;
  return [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2];
}

/** `pantry output 3`, or `output 3` with one controller. */
function where(plan: ResolvedPlan, lamp: ResolvedLamp): string {
  const name = plan.controllers.length > 1 ? `${plan.controllers[lamp.output.controller]?.name} ` : '';
  return `${name}output ${lamp.output.number}`;
}
