/**
 * Zones: which part of a shelf, and where its bags stand.
 */

import { sizeWords } from '../../shared/measures.ts';
import { type Millimetres, millimetres } from '../../shared/units.ts';
import { placeName } from '../plan/place-names.ts';
import type { BagPlace, LampSide, ResolvedShelf, ResolvedZone } from '../plan/plan.ts';
import type { MapNode } from '../read/tree.ts';
import { LAMP_MARGIN_MM } from './builtin.ts';
import type { Context, NamedEntry } from './context.ts';

type Range = ResolvedZone['x'];

/** Where lamps stand that a zone of default extent must leave room for. */
export interface LampStand {
  /** The zone it is written beside, or the shelf (index) it stands on by coordinates. */
  readonly zone: string | undefined;
  readonly shelf: number | undefined;
  readonly side: LampSide;
}

/** The zones, in plan order; undefined where shelf or extent are unknown. */
export function resolveZones(
  context: Context,
  shelves: readonly (ResolvedShelf | undefined)[],
  stands: readonly LampStand[],
): readonly (ResolvedZone | undefined)[] {
  return context.section('zones').map((entry) => zone(context, entry, shelves, stands));
}

/** The shelf an entry is on: the one it names, or the only one. */
export function shelfIndex(context: Context, entry: NamedEntry, section: string): number | undefined {
  if (context.has(entry.map, 'shelf')) return context.index('shelves', context.node(entry.map, 'shelf'));
  const known = context.names('shelves');
  if (known.length === 1) return 0;
  if (known.length > 1 && entry.map.entries.size > 0) {
    context.report('name-which', entry.keySpan, {
      entry: `${section}.${entry.name}`,
      key: 'shelf',
      known: [...known],
    });
  }
  return undefined;
}

function zone(
  context: Context,
  entry: NamedEntry,
  shelves: readonly (ResolvedShelf | undefined)[],
  stands: readonly LampStand[],
): ResolvedZone | undefined {
  const { name, map } = entry;
  const index = shelfIndex(context, entry, 'zones');
  const shelf = index === undefined ? undefined : shelves[index];
  const counts = context.pair(map, 'bags', (node) => context.numberOf(node));
  if (index === undefined || !shelf || !counts) return undefined;
  const stood = stands
    .filter((stand) => stand.zone === name || stand.shelf === index)
    .map(({ side }) => side);
  const x = extent(context, entry, 'x', shelf, stood.includes('left'), stood.includes('right'));
  const y = extent(context, entry, 'y', shelf, stood.includes('front'), stood.includes('back'));
  if (!x || !y) return undefined;
  const [across, deep] = counts;
  const places = bagPlaces(name, x, y, across, deep);
  return { name, shelf: index, x, y, across, deep, places, span: entry.keySpan };
}

function extent(
  context: Context,
  { name, map, keySpan }: NamedEntry,
  axis: 'x' | 'y',
  shelf: ResolvedShelf,
  lampAtStart: boolean,
  lampAtEnd: boolean,
): Range | undefined {
  if (context.has(map, axis)) return writtenExtent(context, map, axis);
  const size = axis === 'x' ? shelf.width : shelf.depth;
  const from = lampAtStart ? LAMP_MARGIN_MM : 0;
  const to = size - (lampAtEnd ? LAMP_MARGIN_MM : 0);
  const value = `${sizeWords(from, context.units)} to ${sizeWords(to, context.units)}`;
  const margin = sizeWords(LAMP_MARGIN_MM, context.units);
  context.assume(`zones.${name}.${axis}`, value, 'high', `the whole shelf less ${margin} where lamps stand`);
  if (from < to) return [micron(from), micron(to)];
  const facts = { zone: name, axis, size: round(size), lamps: round(size - to + from), shelf: shelf.name };
  context.report('zone-no-room', keySpan, facts);
  return undefined;
}

function writtenExtent(context: Context, map: MapNode, axis: 'x' | 'y'): Range | undefined {
  const range = context.pair(map, axis, (node) => context.lengthOf(node));
  if (!range || range[0] < range[1]) return range;
  context.report('value-order', context.spanOf(map, axis), {
    key: axis,
    from: round(range[0]),
    to: round(range[1]),
  });
  return undefined;
}

/** To the thousandth of a millimetre: keeps rounding noise out of geometry. */
export function micron(mm: number): Millimetres {
  return millimetres(Math.round(mm * 1000) / 1000);
}

function round(mm: number): number {
  return Math.round(mm * 10) / 10;
}

/** Centres of the bags, spread evenly, named from the front left, row by row. */
function bagPlaces(name: string, x: Range, y: Range, across: number, deep: number): BagPlace[] {
  const places: BagPlace[] = [];
  for (let row = 0; row < deep; row++) {
    for (let column = 0; column < across; column++) {
      places.push({
        name: placeName(name, places.length + 1),
        x: micron(x[0] + ((column + 0.5) * (x[1] - x[0])) / across),
        y: micron(y[0] + ((row + 0.5) * (y[1] - y[0])) / deep),
      });
    }
  }
  return places;
}
