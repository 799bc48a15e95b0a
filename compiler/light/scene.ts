/**
 * The plan as a set of lamps and obstacles in one frame, metres, z from the floor.
 *
 * Always holds: shelves that stand over each other in plan order form one rack and
 * share x and y; a shelf whose height range meets that of one before it starts
 * another rack, and no light goes between racks.
 */

import { itemAt } from '../../shared/assert.ts';
import { cross, panelCorners, sideways } from '../plan/lamp-points.ts';
import type { LampShape, ResolvedLamp, ResolvedPlan, ResolvedShelf, Vec3 } from '../plan/plan.ts';
import { type Box, bagBoxes, hull } from './headspace.ts';
import { type FieldOptions, lampFileText } from './options.ts';
import { type Photometry, readPhotometry } from './photometry.ts';
import { type Obstacle, passing, STOPS } from './shadow.ts';
import { beamExponent, beamPeak, type Spot, type Strip } from './sources.ts';

/** Half the thickness given to boards and screens that are drawn without one. */
const THIN = 1e-4;

/** A flat panel: its corners, the way it shines and its lumens per square metre. */
export interface Panel {
  readonly corners: readonly [Vec3, Vec3, Vec3, Vec3];
  readonly axis: Vec3;
  readonly exitance: number;
}

export type Source = Drawn | { readonly kind: 'measured'; readonly measured: Measured };

/** A lamp as the plan draws it. */
export type Drawn =
  | { readonly kind: 'strip'; readonly strip: Strip; readonly to: Vec3 }
  | { readonly kind: 'spot'; readonly spot: Spot }
  | { readonly kind: 'panel'; readonly panel: Panel };

/** A lamp with a photometric file: every bit of it shines as the file says. */
export interface Measured {
  readonly drawn: Drawn;
  readonly photometry: Photometry;
  /** Candela of the whole lamp for one candela of the file. */
  readonly scale: number;
  /** Unit vectors: the way it shines, the file's zero plane, and square to both. */
  readonly frame: readonly [axis: Vec3, zero: Vec3, third: Vec3];
}

/** One lamp, placed. */
export interface SceneLamp {
  readonly lamp: ResolvedLamp;
  /** Index into the plan's lamps. */
  readonly index: number;
  readonly rack: number;
  /** As if it gave one lumen: what is traced serves for any flux. */
  readonly source: Source;
  readonly bounds: Box;
  /** Unit vector, the way it shines. */
  readonly axis: Vec3;
  /** Most candela in any direction. */
  readonly peak: number;
  /** Whether it also shines behind itself, as some files say. */
  readonly allRound: boolean;
}

/** A shelf board. */
interface Deck extends Obstacle {
  readonly rack: number;
}

export interface Scene {
  readonly rackOfShelf: readonly number[];
  readonly lamps: readonly SceneLamp[];
  readonly decks: readonly Deck[];
  readonly screens: readonly (Obstacle & { readonly rack: number })[];
  /** For each zone the box round whatever bags of the plan may ever stand there. */
  readonly zoneBounds: readonly Box[];
  /** For each shelf the box round its space, its lamps and whatever bags may ever stand there. */
  readonly spaces: readonly Box[];
}

/** Places everything that does not change with the batches. */
export function buildScene(plan: ResolvedPlan, options: FieldOptions): Scene {
  const rackOfShelf = assignRacks(plan.shelves);
  const floor = (shelf: number): number => itemAt(plan.shelves, shelf).height / 1000;
  const lamps = plan.lamps.map((lamp, index) =>
    placeLamp(lamp, index, itemAt(rackOfShelf, lamp.shelf), floor(lamp.shelf), photometryOf(lamp, options)),
  );
  const zoneBounds = plan.zones.map((_, zone) => boundsOfZone(plan, zone));
  return {
    rackOfShelf,
    lamps,
    decks: plan.shelves.map((shelf, index) => deckOf(shelf, itemAt(rackOfShelf, index))),
    screens: plan.screens.map((screen) => ({
      ...thicken(lift(screen.from, floor(screen.shelf)), lift(screen.to, floor(screen.shelf))),
      ...STOPS,
      rack: itemAt(rackOfShelf, screen.shelf),
    })),
    zoneBounds,
    spaces: spacesOf(plan, lamps, zoneBounds),
  };
}

function spacesOf(plan: ResolvedPlan, lamps: readonly SceneLamp[], zoneBounds: readonly Box[]): Box[] {
  const spaces = plan.shelves.map(({ height, clear, width, depth }): Box => {
    const floor = height / 1000;
    return { lo: [0, 0, floor], hi: [width / 1000, depth / 1000, floor + clear / 1000] };
  });
  const add = (shelf: number, box: Box): void => {
    spaces[shelf] = hull(itemAt(spaces, shelf), box);
  };
  for (const { lamp, bounds } of lamps) add(lamp.shelf, bounds);
  for (const [zone, bounds] of zoneBounds.entries()) add(itemAt(plan.zones, zone).shelf, bounds);
  return spaces;
}

/** Which rack each shelf belongs to. */
export function assignRacks(shelves: readonly ResolvedShelf[]): number[] {
  let rack = 0;
  let members: ResolvedShelf[] = [];
  return shelves.map((shelf) => {
    if (members.some((other) => sameHeights(shelf, other))) {
      rack++;
      members = [];
    }
    members.push(shelf);
    return rack;
  });
}

function sameHeights(a: ResolvedShelf, b: ResolvedShelf): boolean {
  return a.height < b.height + b.clear && b.height < a.height + a.clear;
}

function deckOf(shelf: ResolvedShelf, rack: number): Deck {
  const top = shelf.height / 1000;
  return {
    lo: [0, 0, top - 2 * THIN],
    hi: [shelf.width / 1000, shelf.depth / 1000, top - THIN / 10],
    ...passing(shelf.deckPasses),
    rack,
  };
}

function thicken(a: Vec3, b: Vec3): Box {
  const low = (i: 0 | 1 | 2): number => Math.min(a[i], b[i]) - THIN;
  const high = (i: 0 | 1 | 2): number => Math.max(a[i], b[i]) + THIN;
  return { lo: [low(0), low(1), low(2)], hi: [high(0), high(1), high(2)] };
}

const lift = (point: Vec3, floor: number): Vec3 => [
  point[0] / 1000,
  point[1] / 1000,
  point[2] / 1000 + floor,
];

function photometryOf({ photometry: name }: ResolvedLamp, options: FieldOptions): Photometry | undefined {
  const text = lampFileText(options, name);
  return text === undefined ? undefined : readPhotometry(text).photometry;
}

function placeLamp(
  lamp: ResolvedLamp,
  index: number,
  rack: number,
  floor: number,
  photometry: Photometry | undefined,
): SceneLamp {
  const drawn = placeSource(lamp.shape, lamp.facing, 1, floor);
  const place = { lamp, index, rack, bounds: boundsOf(drawn), axis: axisOf(drawn) };
  if (photometry === undefined) {
    return { ...place, source: drawn, peak: lamp.flux * peakOf(drawn), allRound: false };
  }
  const measured = measure(drawn, photometry);
  const peak = Math.max(...photometry.candela.flat()) * (lamp.flux / photometry.lumens);
  return {
    ...place,
    source: { kind: 'measured', measured },
    peak,
    allRound: itemAt(photometry.vertical, photometry.vertical.length - 1) > 90,
  };
}

function boundsOf(source: Drawn): Box {
  if (source.kind === 'strip') return boxAround([source.strip.from, source.to]);
  return boxAround(source.kind === 'spot' ? [source.spot.at] : source.panel.corners);
}

function axisOf(source: Drawn): Vec3 {
  if (source.kind === 'strip') return source.strip.facing;
  return source.kind === 'spot' ? source.spot.axis : source.panel.axis;
}

/** Most candela of a lamp of one lumen. */
const peakOf = (source: Drawn): number => (source.kind === 'spot' ? source.spot.peak : 1 / Math.PI);

/** A lamp that shines as its file says, scaled to one lumen. */
function measure(drawn: Drawn, photometry: Photometry): Measured {
  const axis = axisOf(drawn);
  const zero = drawn.kind === 'strip' ? drawn.strip.along : sideways(axis);
  return { drawn, photometry, scale: 1 / photometry.lumens, frame: [axis, zero, cross(axis, zero)] };
}

function placeSource(shape: LampShape, facing: Vec3, flux: number, floor: number): Drawn {
  switch (shape.kind) {
    case 'strip':
      return placeStrip(lift(shape.from, floor), lift(shape.to, floor), facing, flux);
    case 'spot': {
      const exponent = beamExponent(shape.beam / 2);
      const at = lift(shape.at, floor);
      return { kind: 'spot', spot: { at, axis: unit(facing), peak: beamPeak(flux, exponent), exponent } };
    }
    case 'panel':
      return {
        kind: 'panel',
        panel: panelAt(
          lift(shape.at, floor),
          [shape.size[0] / 1000, shape.size[1] / 1000],
          unit(facing),
          flux,
        ),
      };
  }
}

function placeStrip(from: Vec3, to: Vec3, facing: Vec3, flux: number): Drawn {
  const length = Math.max(norm(minus(to, from)), 1e-3);
  const along = norm(minus(to, from)) > 0 ? unit(minus(to, from)) : sideways(unit(facing));
  // A flat strip shines square to its length: whatever part of `facing` runs along it is dropped.
  const skew = dot(facing, along);
  const square: Vec3 = [
    facing[0] - skew * along[0],
    facing[1] - skew * along[1],
    facing[2] - skew * along[2],
  ];
  const strip = { from, along, length, facing: unit(square), perMetre: flux / length / Math.PI };
  return { kind: 'strip', strip, to };
}

/** A panel of so many lumens; lengths in metres. */
function panelAt(at: Vec3, size: readonly [number, number], axis: Vec3, flux: number): Panel {
  return { corners: panelCorners(at, size, axis), axis, exitance: flux / (size[0] * size[1]) };
}

function boundsOfZone(plan: ResolvedPlan, zone: number): Box {
  const { places, shelf } = itemAt(plan.zones, zone);
  const floor = itemAt(plan.shelves, shelf).height / 1000;
  const boxes = places.flatMap((place) =>
    plan.bags.map((bag) => {
      const { block, headspace } = bagBoxes(bag, place, floor);
      return hull(block, headspace);
    }),
  );
  return boxes.length > 0 ? boxes.reduce(hull) : { lo: [0, 0, floor], hi: [0, 0, floor] };
}

function boxAround(points: readonly Vec3[]): Box {
  const low = (i: 0 | 1 | 2): number => Math.min(...points.map((point) => point[i]));
  const high = (i: 0 | 1 | 2): number => Math.max(...points.map((point) => point[i]));
  return { lo: [low(0), low(1), low(2)], hi: [high(0), high(1), high(2)] };
}

const minus = (a: Vec3, b: Vec3): Vec3 => [a[0] - b[0], a[1] - b[1], a[2] - b[2]];
const dot = (a: Vec3, b: Vec3): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const norm = (a: Vec3): number => Math.sqrt(dot(a, a));

function unit(a: Vec3): Vec3 {
  const length = norm(a) || 1;
  return [a[0] / length, a[1] / length, a[2] / length];
}
