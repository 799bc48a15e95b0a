/**
 * Lamps: beside a zone or by coordinates, with what a fixture says filled in.
 *
 * Always holds: a lamp by coordinates is known before the zones are (they
 * leave room for it); a lamp beside a zone only after.
 */

import { sure } from '../../shared/assert.ts';
import { sizeWords } from '../../shared/measures.ts';
import { degrees, lumens, millimetres, watts } from '../../shared/units.ts';
import { COLOUR_WORDS } from '../light/blue.ts';
import { blockHeight } from '../plan/block-height.ts';
import { lampPoints } from '../plan/lamp-points.ts';
import type {
  LampColour,
  LampShape,
  LampSide,
  OutputRef,
  ResolvedBag,
  ResolvedController,
  ResolvedLamp,
  ResolvedShelf,
  ResolvedZone,
  Vec3,
} from '../plan/plan.ts';
import type { MapNode, Node } from '../read/tree.ts';
import { BEAM, LAMP_GAP_MM, LAMP_MARGIN_MM, LAMP_SHORT_MM } from './builtin.ts';
import type { Context, NamedEntry } from './context.ts';
import { lampFlux } from './lamp-flux.ts';
import { type LampStand, micron, shelfIndex } from './zones.ts';

/** A lamp's place: shape, the way it shines, shelf. */
interface Placed {
  readonly shelf: number;
  readonly shape: LampShape;
  readonly facing: Vec3;
  readonly beside: ResolvedLamp['beside'];
}

/** The lamps as written, before the zones are known. */
export class LampDrafts {
  private readonly context: Context;
  private readonly drafts: readonly Draft[];

  constructor(context: Context) {
    this.context = context;
    const fixtures = context.map(context.root, 'fixtures');
    this.drafts = context.section('lamps').map((entry) => draft(context, entry, fixtures));
  }

  /** Where lamps stand, for zones of default extent. */
  stands(shelves: readonly (ResolvedShelf | undefined)[]): LampStand[] {
    return this.drafts.flatMap((lamp): LampStand[] => {
      const side = sideWord(this.context.text(lamp.entry.map, 'side'));
      const zone = this.context.text(lamp.entry.map, 'beside');
      if (zone !== undefined) return side ? [{ zone, shelf: undefined, side }] : [];
      const shelf = lamp.placed && shelves[lamp.placed.shelf];
      if (!lamp.placed || !shelf) return [];
      return edgesNear(lamp.placed, shelf).map((edge) => ({
        zone: undefined,
        shelf: lamp.placed?.shelf,
        side: edge,
      }));
    });
  }

  /** The finished lamps, in plan order; undefined where something needed is missing. */
  resolve(rack: {
    controllers: readonly (ResolvedController | undefined)[];
    shelves: readonly (ResolvedShelf | undefined)[];
    zones: readonly (ResolvedZone | undefined)[];
    bagOfZone: (zone: number) => ResolvedBag | undefined;
  }): readonly (ResolvedLamp | undefined)[] {
    return this.drafts.map((lamp) => {
      const output = resolveOutput(this.context, lamp.entry, rack.controllers);
      const placed = lamp.placed ?? placeBeside(this.context, lamp, rack);
      return finish(this.context, lamp, output, placed);
    });
  }
}

interface Draft {
  readonly entry: NamedEntry;
  readonly fixture: MapNode | undefined;
  readonly placed: Placed | undefined;
}

const PLACINGS = ['beside', 'strip', 'spot', 'panel'] as const;

function draft(context: Context, entry: NamedEntry, fixtures: MapNode | undefined): Draft {
  const { map } = entry;
  const wanted = context.text(map, 'fixture');
  if (wanted !== undefined && !context.has(fixtures, wanted)) {
    context.unknown('fixtures', wanted, context.spanOf(map, 'fixture'), context.names('fixtures'));
  }
  const fixture = wanted === undefined ? undefined : context.map(fixtures, wanted);
  const ways = PLACINGS.filter((key) => context.has(map, key));
  const [way, other] = ways;
  if (other !== undefined && way !== undefined) {
    const facts = { entry: `lamps.${entry.name}`, key: other, other: way };
    context.report('key-excludes', context.keySpan(map, other), facts, context.keySpan(map, way));
  } else if (way === undefined && map.entries.size > 0) {
    const where = `lamps.${entry.name}`;
    context.report('key-missing', entry.keySpan, { key: 'beside', where, example: 'A' });
  }
  const placed = ways.length === 1 && way !== 'beside' ? placeByPoints(context, entry, fixture) : undefined;
  return { entry, fixture, placed };
}

function placeByPoints(
  context: Context,
  entry: NamedEntry,
  fixture: MapNode | undefined,
): Placed | undefined {
  const shelf = shelfIndex(context, entry, 'lamps');
  const shape = shapeByPoints(context, entry.map, fixture);
  const facing = facingOf(context, entry);
  if (shelf === undefined || !shape || !facing) return undefined;
  return { shelf, shape, facing, beside: undefined };
}

function shapeByPoints(context: Context, map: MapNode, fixture: MapNode | undefined): LampShape | undefined {
  const strip = context.map(map, 'strip');
  const spot = context.map(map, 'spot');
  const panel = context.map(map, 'panel');
  if (strip) return stripByPoints(context, map, strip);
  const at = point(context, context.node(spot ?? panel, 'at'));
  if (!at) return undefined;
  if (spot) {
    const beam = context.quantity(spot, 'beam', 'angle') ?? context.quantity(fixture, 'spot', 'angle');
    return { kind: 'spot', at, beam: degrees(beam ?? BEAM.value) };
  }
  const size = panelSize(context, panel, 'size') ?? panelSize(context, fixture, 'panel');
  return { kind: 'panel', at, size: size ?? [millimetres(300), millimetres(100)] };
}

function panelSize(context: Context, map: MapNode | undefined, key: string) {
  return context.pair(map, key, (node) => context.lengthOf(node));
}

function stripByPoints(context: Context, map: MapNode, strip: MapNode): LampShape | undefined {
  const from = point(context, context.node(strip, 'from'));
  const to = point(context, context.node(strip, 'to'));
  if (!from || !to) return undefined;
  if (from.every((value, axis) => value === to[axis])) {
    const facts = { text: undefined, limits: { must: 'points-differ' }, example: undefined } as const;
    context.report('value-out-of-range', context.spanOf(map, 'strip'), facts);
    return undefined;
  }
  return { kind: 'strip', from, to };
}

function point(context: Context, node: Node | undefined): Vec3 | undefined {
  const [x, y, z] = context.tuple(node, 3, (item) => context.lengthOf(item)) ?? [];
  return x === undefined || y === undefined || z === undefined ? undefined : [x, y, z];
}

/** Unit vector toward an azimuth (0 back, 90 right), free of rounding noise on the four sides. */
function towardAzimuth(azimuth: number): Vec3 {
  const radians = (azimuth * Math.PI) / 180;
  const clean = (value: number) => Math.round(value * 1e12) / 1e12 + 0;
  return [clean(Math.sin(radians)), clean(Math.cos(radians)), 0];
}

function facingOf(context: Context, entry: NamedEntry): Vec3 | undefined {
  const { map, name } = entry;
  if (!context.has(map, 'facing')) {
    context.report('key-missing', entry.keySpan, { key: 'facing', where: `lamps.${name}`, example: 'right' });
    return undefined;
  }
  const node = context.node(map, 'facing');
  if (node?.kind === 'list') return facingVector(context, map, node);
  const text = context.source(node);
  if (text === 'up') return [0, 0, 1];
  if (text === 'down') return [0, 0, -1];
  const side = context.sideOf(node);
  return side === undefined ? undefined : towardAzimuth(side);
}

function facingVector(context: Context, map: MapNode, node: Node): Vec3 | undefined {
  const [x = 0, y = 0, z = 0] = context.tuple(node, 3, (item) => context.numberOf(item)) ?? [];
  const size = Math.hypot(x, y, z);
  if (size > 0) return [x / size, y / size, z / size];
  const facts = { text: undefined, limits: { must: 'direction' }, example: '[1, 0, 0]' } as const;
  context.report('value-out-of-range', context.spanOf(map, 'facing'), facts);
  return undefined;
}

function sideWord(text: string | undefined): LampSide | undefined {
  const sides: readonly LampSide[] = ['left', 'right', 'front', 'back', 'above'];
  return sides.find((side) => side === text);
}

/** The shelf edges near which a whole lamp stands. */
function edgesNear({ shape, facing }: Placed, shelf: ResolvedShelf): LampSide[] {
  const points = lampPoints(shape, facing);
  const sides: LampSide[] = [];
  if (points.every(([x]) => x <= LAMP_MARGIN_MM)) sides.push('left');
  if (points.every(([x]) => x >= shelf.width - LAMP_MARGIN_MM)) sides.push('right');
  if (points.every(([, y]) => y <= LAMP_MARGIN_MM)) sides.push('front');
  if (points.every(([, y]) => y >= shelf.depth - LAMP_MARGIN_MM)) sides.push('back');
  return sides;
}

type Rack = Parameters<LampDrafts['resolve']>[0];

function placeBeside(context: Context, { entry, fixture }: Draft, rack: Rack): Placed | undefined {
  const { map, name } = entry;
  if (!context.has(map, 'beside') || PLACINGS.filter((key) => context.has(map, key)).length > 1)
    return undefined;
  const index = context.index('zones', context.node(map, 'beside'));
  const side = sideWord(context.text(map, 'side'));
  if (!context.has(map, 'side')) {
    context.report('key-missing', entry.keySpan, { key: 'side', where: `lamps.${name}`, example: 'front' });
  }
  const zone = index === undefined ? undefined : rack.zones[index];
  const shelf = zone && rack.shelves[zone.shelf];
  if (index === undefined || !side || !zone || !shelf) return undefined;
  const bag = rack.bagOfZone(index);
  const up = context.length(map, 'up');
  const frame = {
    zone,
    side,
    gap: context.length(map, 'gap') ?? LAMP_GAP_MM,
    z: up ?? heightBeside(side, shelf, bag),
  };
  if (!context.has(map, 'up')) {
    const value = sizeWords(frame.z, context.units);
    const why = side === 'above' ? 'just above the bags' : "middle of the bags' headspace";
    context.assume(`lamps.${name}.up`, value, 'high', why);
  }
  const shape = shapeBeside(context, map, fixture, frame);
  return { shelf: zone.shelf, shape, facing: INWARD[side], beside: { zone: index, side } };
}

const INWARD: Readonly<Record<LampSide, Vec3>> = {
  left: [1, 0, 0],
  right: [-1, 0, 0],
  front: [0, 1, 0],
  back: [0, -1, 0],
  above: [0, 0, -1],
};

function heightBeside(side: LampSide, shelf: ResolvedShelf, bag: ResolvedBag | undefined): number {
  if (side === 'above') return Math.min((bag?.height ?? shelf.clear) + LAMP_GAP_MM, shelf.clear);
  return bag ? (blockHeight(bag) + bag.height) / 2 : shelf.clear / 2;
}

interface Frame {
  readonly zone: ResolvedZone;
  readonly side: LampSide;
  readonly gap: number;
  readonly z: number;
}

function shapeBeside(context: Context, map: MapNode, fixture: MapNode | undefined, frame: Frame): LampShape {
  const at = fine(middle(frame));
  const beam = context.quantity(fixture, 'spot', 'angle');
  if (beam !== undefined) return { kind: 'spot', at, beam: degrees(beam) };
  const size = panelSize(context, fixture, 'panel');
  if (size) return { kind: 'panel', at, size };
  const length = context.length(map, 'length') ?? context.length(fixture, 'strip') ?? besideLength(frame);
  return stripAround(at, length, frame.side);
}

function middle({ zone, side, gap, z }: Frame): Vec3 {
  const x = (zone.x[0] + zone.x[1]) / 2;
  const y = (zone.y[0] + zone.y[1]) / 2;
  if (side === 'left') return [zone.x[0] - gap, y, z];
  if (side === 'right') return [zone.x[1] + gap, y, z];
  if (side === 'front') return [x, zone.y[0] - gap, z];
  if (side === 'back') return [x, zone.y[1] + gap, z];
  return [x, y, z];
}

function alongY(side: LampSide): boolean {
  return side === 'left' || side === 'right';
}

function besideLength({ zone, side }: Frame): number {
  const range = alongY(side) ? zone.y : zone.x;
  return Math.max(range[1] - range[0] - 2 * LAMP_SHORT_MM, 10);
}

function stripAround([x, y, z]: Vec3, length: number, side: LampSide): LampShape {
  const half = length / 2;
  if (alongY(side)) return { kind: 'strip', from: fine([x, y - half, z]), to: fine([x, y + half, z]) };
  return { kind: 'strip', from: fine([x - half, y, z]), to: fine([x + half, y, z]) };
}

function fine([x, y, z]: Vec3): Vec3 {
  return [micron(x), micron(y), micron(z)];
}

function resolveOutput(
  context: Context,
  { name, map }: NamedEntry,
  controllers: readonly (ResolvedController | undefined)[],
): OutputRef | undefined {
  const text = context.text(map, 'output');
  if (text === undefined) return undefined;
  const span = context.spanOf(map, 'output');
  const known = context.has(context.root, 'controllers') ? context.names('controllers') : ['rack'];
  const match = /^(?:(.+)\/)?\s*(\d{1,4})$/.exec(text.trim());
  if (!match) {
    context.report('output-unreadable', span, { text, example: known.length > 1 ? `${known[0]}/1` : '1' });
    return undefined;
  }
  if (match[1] === undefined && known.length > 1) {
    const facts = { entry: `lamps.${name}`, key: 'output', known: known.map((one) => `${one}/${text}`) };
    context.report('name-which', span, facts);
    return undefined;
  }
  const controller = match[1] === undefined ? 0 : known.indexOf(match[1].trim());
  if (controller < 0) {
    context.unknown('controllers', sure(match[1]), span, known);
    return undefined;
  }
  return outputOn(context, span, controller, Number(match[2]), controllers[controller]);
}

function outputOn(
  context: Context,
  span: ResolvedLamp['span'],
  controller: number,
  number: number,
  found: ResolvedController | undefined,
): OutputRef | undefined {
  if (!found) return undefined;
  const count = found.board.outputs.length;
  if (number >= 1 && number <= count) return { controller, number };
  context.report(
    'output-missing',
    span,
    { number, count, board: found.board.id, controller: found.name },
    found.span,
  );
  return undefined;
}

function finish(
  context: Context,
  { entry, fixture }: Draft,
  output: OutputRef | undefined,
  placed: Placed | undefined,
): ResolvedLamp | undefined {
  const { name, map, keySpan } = entry;
  const from = (key: string) => (context.has(map, key) ? map : fixture);
  const isBroken = context.has(map, 'fixture') && !fixture;
  const power = context.quantity(from('power'), 'power', 'power');
  const { colour, spectrum } = lightColour(context, entry, fixture);
  const flux = lampFlux(context, { entry, from, isBroken, shape: placed?.shape, power, colour, spectrum });
  if (!output || !placed || flux === undefined) return undefined;
  return {
    name,
    ...placed,
    output,
    flux: lumens(flux),
    power: power === undefined ? undefined : watts(power),
    photometry: context.text(from('photometry'), 'photometry'),
    dimmable: context.yes(from('dimmable'), 'dimmable') ?? false,
    colour,
    spectrum,
    helps: helpsOf(context, map),
    span: keySpan,
  };
}

/** A lamp's colour or its spectrum: as it says itself, else as its fixture says. */
function lightColour(
  context: Context,
  { name, map }: NamedEntry,
  fixture: MapNode | undefined,
): Pick<ResolvedLamp, 'colour' | 'spectrum'> {
  const says = (one: MapNode | undefined, key: string): boolean => context.has(one, key);
  const told = says(map, 'colour') || says(map, 'spectrum') ? map : fixture;
  for (const one of [map, fixture]) {
    if (one === undefined || !says(one, 'colour') || !says(one, 'spectrum')) continue;
    const where = one === map ? `lamps.${name}` : `fixtures.${context.text(map, 'fixture')}`;
    const facts = { entry: where, key: 'spectrum', other: 'colour' };
    context.report('key-excludes', context.keySpan(one, 'spectrum'), facts, context.keySpan(one, 'colour'));
  }
  return { colour: colourOf(context, told), spectrum: context.text(told, 'spectrum') };
}

/** Plain `white` and no word are the same. */
function colourOf(context: Context, map: MapNode | undefined): LampColour | undefined {
  const kelvin = context.quantity(map, 'colour', 'colourTemperature');
  if (kelvin !== undefined) return { kind: 'white', kelvin };
  const written = context.quantity(map, 'colour', 'wavelength');
  const words: Readonly<Record<string, number>> = COLOUR_WORDS;
  const nanometres = written ?? words[context.text(map, 'colour') ?? ''];
  return nanometres === undefined ? undefined : { kind: 'narrow', nanometres };
}

/** The zones named under `help`; an unknown name is reported. */
function helpsOf(context: Context, map: MapNode): number[] {
  const found = (context.list(map, 'help') ?? []).map((node) => context.index('zones', node));
  return found.filter((zone) => zone !== undefined);
}
