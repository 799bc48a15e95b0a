/**
 * Screens and background light.
 */

import { degrees, lux } from '../../shared/units.ts';
import type { ResolvedBackground, ResolvedScreen, ResolvedShelf, ResolvedZone, Vec3 } from '../plan/plan.ts';
import type { Node } from '../read/tree.ts';
import type { Context, NamedEntry } from './context.ts';
import { shelfIndex } from './zones.ts';

/** The screens, in plan order; undefined where one has no place. */
export function resolveScreens(
  context: Context,
  shelves: readonly (ResolvedShelf | undefined)[],
): readonly (ResolvedScreen | undefined)[] {
  return context.section('screens').map((entry) => screen(context, entry, shelves));
}

function screen(
  context: Context,
  entry: NamedEntry,
  shelves: readonly (ResolvedShelf | undefined)[],
): ResolvedScreen | undefined {
  const shelf = shelfIndex(context, entry, 'screens');
  const board = shelf === undefined ? undefined : shelves[shelf];
  const corners = screenCorners(context, entry, board);
  if (shelf === undefined || !corners) return undefined;
  return { name: entry.name, shelf, from: corners[0], to: corners[1], span: entry.keySpan };
}

function screenCorners(
  context: Context,
  { name, map, keySpan }: NamedEntry,
  shelf: ResolvedShelf | undefined,
): readonly [Vec3, Vec3] | undefined {
  const ways = (['x', 'y', 'from'] as const).filter((key) => context.has(map, key));
  const [way, other] = ways;
  if (way === undefined) {
    if (map.entries.size > 0)
      context.report('key-missing', keySpan, { key: 'x', where: `screens.${name}`, example: '600 mm' });
    return undefined;
  }
  if (other !== undefined) {
    const facts = { entry: `screens.${name}`, key: other, other: way };
    context.report('key-excludes', context.keySpan(map, other), facts, context.keySpan(map, way));
    return undefined;
  }
  if (way === 'from') return writtenCorners(context, { name, map, keySpan });
  const at = context.length(map, way);
  if (at === undefined || !shelf) return undefined;
  if (way === 'x')
    return [
      [at, 0, 0],
      [at, shelf.depth, shelf.clear],
    ];
  return [
    [0, at, 0],
    [shelf.width, at, shelf.clear],
  ];
}

function writtenCorners(
  context: Context,
  { name, map, keySpan }: NamedEntry,
): readonly [Vec3, Vec3] | undefined {
  if (!context.has(map, 'to')) {
    context.report('key-missing', keySpan, {
      key: 'to',
      where: `screens.${name}`,
      example: '[600 mm, 300 mm, 400 mm]',
    });
  }
  const read = (node: Node | undefined): Vec3 | undefined => {
    const [x, y, z] = context.tuple(node, 3, (item) => context.lengthOf(item)) ?? [];
    return x === undefined || y === undefined || z === undefined ? undefined : [x, y, z];
  };
  const from = read(context.node(map, 'from'));
  const to = read(context.node(map, 'to'));
  return from && to ? [from, to] : undefined;
}

const EVERY_DAY = [0, 1, 2, 3, 4, 5, 6];

/** Other light; a note once where the plan has none. */
export function resolveBackground(
  context: Context,
  zones: readonly (ResolvedZone | undefined)[],
): readonly (ResolvedBackground | undefined)[] {
  if (!context.has(context.root, 'background')) {
    context.assume('background', 'none: the room counts as dark', 'medium', 'the plan names no other light');
    return [];
  }
  return context.section('background').map((entry) => background(context, entry, zones));
}

function background(
  context: Context,
  { name, map }: NamedEntry,
  zones: readonly (ResolvedZone | undefined)[],
): ResolvedBackground | undefined {
  const word = context.text(map, 'from');
  const from = word === 'above' ? word : context.sideOf(context.node(map, 'from'));
  const level = context.quantity(map, 'level', 'illuminance');
  const hours = context.pair(map, 'hours', (node) => context.timeOf(node));
  const on = context.weekdays(map, 'on') ?? EVERY_DAY;
  if (from === undefined || level === undefined || !hours) return undefined;
  if (hours[0] >= hours[1]) {
    context.report('value-order', context.spanOf(map, 'hours'), {
      key: 'hours',
      from: hours[0],
      to: hours[1],
      clock: true,
    });
    return undefined;
  }
  const shines = shinesOn(context, name, map, zones);
  return { name, zones: shines, from: from === 'above' ? from : degrees(from), level: lux(level), hours, on };
}

/** The zones that a background light is said to shine on; undefined: all. */
function shinesOn(
  context: Context,
  name: string,
  map: NamedEntry['map'],
  zones: readonly (ResolvedZone | undefined)[],
): readonly number[] | undefined {
  const [onShelf, onZones] = [context.has(map, 'shelf'), context.has(map, 'zones')];
  if (onShelf && onZones) {
    const facts = { entry: `background.${name}`, key: 'zones', other: 'shelf' };
    context.report('key-excludes', context.keySpan(map, 'zones'), facts, context.keySpan(map, 'shelf'));
  }
  if (onZones) {
    const found = (context.list(map, 'zones') ?? []).map((node) => context.index('zones', node));
    return found.filter((zone) => zone !== undefined);
  }
  if (!onShelf) return undefined;
  const shelf = context.index('shelves', context.node(map, 'shelf'));
  return zones.flatMap((zone, index) => (zone !== undefined && zone.shelf === shelf ? [index] : []));
}
