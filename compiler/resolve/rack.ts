/**
 * Place, controllers, shelves: what the lamps and zones stand on.
 */

import { sure } from '../../shared/assert.ts';
import { millimetres } from '../../shared/units.ts';
import { closest } from '../findings/nearest.ts';
import type { ResolvedController, ResolvedPlan, ResolvedShelf } from '../plan/plan.ts';
import type { MapNode } from '../read/tree.ts';
import { NO_SURFACES, PALENESS, SOLID_DECK, WIRE_DECK } from './builtin.ts';
import type { Context, NamedEntry } from './context.ts';

/** Name and board where the plan gives no controllers. */
const ONLY_CONTROLLER = 'rack';
const ONLY_BOARD = 'mega328-relay8';

/** The plan language this compiler reads. */
const LANGUAGE = 1;

/** Reports a plan written for a later version of the language. */
export function checkVersion(context: Context): void {
  const version = context.number(context.root, 'leanward');
  if (version === undefined || version <= LANGUAGE) return;
  context.report('text-later-language', context.spanOf(context.root, 'leanward'), {
    version,
    known: LANGUAGE,
  });
}

/** The time zone, checked against the IANA data of the system. */
export function resolveTimezone(context: Context): string | undefined {
  const place = context.map(context.root, 'place');
  const name = context.text(place, 'timezone');
  if (place === undefined || name === undefined) return undefined;
  if (isTimezone(name)) return name;
  const known = Intl.supportedValuesOf('timeZone');
  const city = sure(name.split('/').at(-1));
  const meant =
    closest(name, known) ?? known.find((one) => closest(city, [sure(one.split('/').at(-1))]) !== undefined);
  context.report('place-unknown-timezone', context.spanOf(place, 'timezone'), { name, meant });
  return undefined;
}

/** Names only: an offset such as `+01:00` knows no clock changes. */
function isTimezone(name: string): boolean {
  if (!/^[A-Za-z][A-Za-z0-9_+/-]*$/.test(name)) return false;
  try {
    return new Intl.DateTimeFormat('en', { timeZone: name }).resolvedOptions().timeZone !== '';
  } catch {
    return false;
  }
}

export function resolveCircuit(context: Context): ResolvedPlan['circuit'] {
  const place = context.map(context.root, 'place');
  const found = rating(context, context.map(place, 'circuit'));
  return place && found && { ...found, span: context.keySpan(place, 'circuit') };
}

function rating(context: Context, map: MapNode | undefined): ResolvedController['supply'] {
  const volts = context.quantity(map, 'volts', 'voltage');
  const amperes = context.quantity(map, 'rating', 'current');
  return volts === undefined || amperes === undefined ? undefined : { volts, amperes };
}

/** The controllers, in plan order; an entry is undefined where its board is unknown. */
export function resolveControllers(context: Context): readonly (ResolvedController | undefined)[] {
  if (!context.has(context.root, 'controllers')) return [onlyController(context)];
  const entries = context.section('controllers');
  suppliesNamed(
    context,
    entries.map((entry) => entry.name),
  );
  const controllers = entries.map((entry, index) => controller(context, entry, index));
  const units = new Map<number, ResolvedController>();
  for (const found of controllers) {
    const other = found && units.get(found.unit);
    if (found && other)
      context.report(
        'controller-same-address',
        found.span,
        { unit: found.unit, name: found.name, other: other.name },
        other.span,
      );
    else if (found) units.set(found.unit, found);
  }
  return controllers;
}

function onlyController(context: Context): ResolvedController | undefined {
  context.assume(
    'controllers',
    `${ONLY_CONTROLLER} on ${ONLY_BOARD}`,
    'high',
    'the plan names no controller',
  );
  suppliesNamed(context, [ONLY_CONTROLLER]);
  const board = context.boards[ONLY_BOARD];
  const place = context.keySpan(context.root, 'lamps');
  if (!board) {
    context.report('name-unknown', place, {
      kind: 'boards',
      name: ONLY_BOARD,
      known: Object.keys(context.boards),
    });
    return undefined;
  }
  return { name: ONLY_CONTROLLER, board, unit: 1, supply: supplyOf(context, ONLY_CONTROLLER), span: place };
}

function controller(context: Context, entry: NamedEntry, index: number): ResolvedController | undefined {
  const { name, map } = entry;
  const boardName = context.text(map, 'board');
  if (!context.has(map, 'board')) {
    context.assume(`controllers.${name}.board`, ONLY_BOARD, 'high', 'the plan names no board');
  }
  const wanted = boardName ?? ONLY_BOARD;
  const board = Object.hasOwn(context.boards, wanted) ? context.boards[wanted] : undefined;
  if (!board) {
    context.unknown('boards', wanted, context.spanOf(map, 'board'), Object.keys(context.boards));
    return undefined;
  }
  const unit = context.number(map, 'unit') ?? index + 1;
  const supply = rating(context, context.map(map, 'supply')) ?? supplyOf(context, name);
  return { name, board, unit, supply, span: entry.keySpan };
}

function supplies(context: Context): MapNode | undefined {
  return context.map(context.map(context.root, 'place'), 'supply');
}

/** Written for the only controller, without its name. */
function isDirect(context: Context, map: MapNode | undefined): boolean {
  return (['volts', 'rating'] as const).some((key) => context.has(map, key) && !context.map(map, key));
}

function supplyOf(context: Context, name: string): ResolvedController['supply'] {
  const map = supplies(context);
  return rating(context, isDirect(context, map) ? map : context.map(map, name));
}

/** Checks the names under `place.supply`; without names there must be one controller only. */
function suppliesNamed(context: Context, known: readonly string[]): void {
  const map = supplies(context);
  if (map && isDirect(context, map)) {
    if (known.length < 2) return;
    const place = context.map(context.root, 'place');
    const facts = { entry: 'place.supply', key: 'controller', known: [...known] };
    context.report('name-which', place ? context.keySpan(place, 'supply') : map.span, facts);
    return;
  }
  for (const { name, keySpan } of context.namedEntries(map)) {
    if (!known.includes(name)) context.unknown('controllers', name, keySpan, known);
  }
}

/** The shelves, in plan order; an entry is undefined where its size is unknown. */
export function resolveShelves(context: Context): readonly (ResolvedShelf | undefined)[] {
  const entries = context.section('shelves');
  return entries.map((entry) => shelf(context, entry, entries.length));
}

function shelf(
  context: Context,
  { name, keySpan, map }: NamedEntry,
  count: number,
): ResolvedShelf | undefined {
  const size = context.pair(map, 'size', (node) => context.lengthOf(node));
  const clear = context.length(map, 'clear');
  const height = shelfHeight(context, name, map, count);
  const deckPasses = deck(context, name, map);
  const reflects = surfaces(context, map, deckPasses);
  if (!size || clear === undefined || height === undefined) return undefined;
  return { name, height, width: size[0], depth: size[1], clear, deckPasses, reflects, span: keySpan };
}

const SURFACES = ['deck', 'above', 'back', 'front', 'left', 'right'] as const;

/** What throws light back round a shelf: its own word for a side, else the plan's for all shelves. */
function surfaces(
  context: Context,
  shelfMap: MapNode,
  deckPasses: number,
): NonNullable<ResolvedShelf['reflects']> {
  const maps = [context.map(shelfMap, 'surfaces'), context.map(context.root, 'surfaces')];
  return Object.fromEntries(
    SURFACES.flatMap((side) => {
      const map = maps.find((one) => context.has(one, side));
      const share = map && (PALENESS[context.text(map, side) ?? ''] ?? context.share(map, side));
      // The wires of a wire deck are what its open part leaves of it.
      return share === undefined ? [] : [[side, side === 'deck' ? share * (1 - deckPasses) : share]];
    }),
  );
}

/** Says once that nothing is taken to throw light back, where a plan has no word on it. */
export function assumeSurfaces(context: Context): void {
  const shelves = context.section('shelves');
  if (context.has(context.root, 'surfaces') || shelves.some(({ map }) => context.has(map, 'surfaces')))
    return;
  context.assume('surfaces', NO_SURFACES.text, NO_SURFACES.confidence, NO_SURFACES.because);
}

function shelfHeight(context: Context, name: string, map: MapNode, count: number) {
  if (context.has(map, 'height')) return context.length(map, 'height');
  if (count > 1) {
    const where = `shelves.${name}`;
    if (map.entries.size > 0)
      context.report('key-missing', map.span, { key: 'height', where, example: '1100 mm' });
    return undefined;
  }
  return millimetres(0);
}

function deck(context: Context, name: string, map: MapNode): number {
  const written = context.text(map, 'deck');
  if (!context.has(map, 'deck')) {
    context.assume(`shelves.${name}.deck`, SOLID_DECK.text, SOLID_DECK.confidence, SOLID_DECK.because);
  }
  if (written !== 'wire') return 0;
  context.assume(`shelves.${name}.deck`, WIRE_DECK.text, WIRE_DECK.confidence, WIRE_DECK.because);
  return WIRE_DECK.value;
}
