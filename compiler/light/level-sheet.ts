/**
 * The light over a whole shelf at one height: in the headspaces, through their
 * film, and between the bags, in the open.
 *
 * Always holds: in a bag it is looked at in the middles of the columns of cells
 * of the light field, so that at the height of their centres both say the same;
 * what stands in the way, films and what surfaces throw back count as there.
 */

import { itemAt, numberAt, sure } from '../../shared/assert.ts';
import { blockHeight } from '../plan/block-height.ts';
import { backgroundIn } from '../plan/on-the-rack.ts';
import type { ResolvedPlan, Vec3 } from '../plan/plan.ts';
import { type Bending, bendingOfLamps } from './bending.ts';
import { ALL, type Left, ownFilm, USUAL_FILM } from './film.ts';
import { gather } from './gather.ts';
import { type Box, bagBoxes, CELLS, hull, overlaps } from './headspace.ts';
import type { FieldOptions } from './options.ts';
import { mayReach } from './reach.ts';
import { type Patch, patchesOf, surfacesOf } from './reflect.ts';
import { addRay, keepPoint, POINT_LENGTH, planesOf, rowLength, rowLevelAt } from './row.ts';
import { buildScene, type SceneLamp } from './scene.ts';
import { type InWay, type Obstacle, passRay, sortInWay } from './shadow.ts';
import { rayLight } from './sources.ts';
import { addBetweenAt, patchRows, sentBack, type Thrown, thrownBy, thrownInto, weighted } from './thrown.ts';
import {
  backgroundSide,
  bagObstacles,
  bagsOf,
  FAR,
  fixedObstacles,
  type Occupancy,
  type Rack,
} from './trace.ts';

/** One place that is looked at. */
export interface SheetPlace {
  /** mm on the shelf; in the open the middle of what it stands for: where a bag reaches over that, it is looked at beside it. */
  readonly x: number;
  readonly y: number;
  /** Zone and bag (indices) whose headspace it is in; undefined in the open. */
  readonly inside: { readonly zone: number; readonly bag: number } | undefined;
}

/** What reaches the places of a shelf at one height. */
export interface LevelSheet {
  /** mm above the shelf. */
  readonly height: number;
  /** Bag by bag, x fastest, then those in the open. */
  readonly places: readonly SheetPlace[];
  /** Size of what an open place stands for, x and y, mm. */
  readonly step: readonly [number, number];
  /** By index of the lamp what is kept of each place (`keepPoint`) with the lamp at full, lx; none where nothing of it comes. */
  readonly lamps: ReadonlyMap<number, Float32Array>;
  /** The same by index of the background. */
  readonly background: readonly Float32Array[];
}

/** Places in the open stand about so far apart, mm. */
const OPEN_STEP = 40;

/** Levels at the places, lx: lamps (indices) with their brightness 0–1, and the background that is on. */
export function levelsOn(
  { places, lamps, background }: LevelSheet,
  burning: readonly (readonly [lamp: number, brightness: number])[],
  on: readonly number[],
): number[] {
  const sum = new Float64Array(places.length * POINT_LENGTH);
  const add = (rows: Float32Array | undefined, share: number): void => {
    if (rows) for (let i = 0; i < sum.length; i++) sum[i] = numberAt(sum, i) + share * numberAt(rows, i);
  };
  for (const [lamp, brightness] of burning) add(lamps.get(lamp), brightness);
  for (const index of on) add(background[index], 1);
  return places.map((_, n) => rowLevelAt(sum, n * POINT_LENGTH));
}

/** A place with what its light depends on. */
interface Spot extends SheetPlace {
  readonly point: Vec3;
  /** The box that obstacles are looked for round. */
  readonly box: Box;
  readonly obstacles: readonly Obstacle[];
  readonly own: Left;
  /** For thrown light: number of the bag, and where in its grid of cells. */
  readonly cell: readonly [bag: number, at: Vec3] | undefined;
}

/** What the surfaces of a shelf throw back, whatever the height. */
interface Pale {
  readonly thrown: Thrown;
  readonly inWay: InWay;
  readonly patches: readonly Patch[];
}

/** The sheets of one plan; what does not change with the height is worked out once. */
export class LevelSheets {
  private readonly rack: Rack;
  private readonly bending: readonly Bending[];
  private readonly pale = new Map<string, Pale | undefined>();

  constructor(plan: ResolvedPlan, options: FieldOptions = {}) {
    const film = options.film ?? USUAL_FILM;
    this.rack = { plan, scene: buildScene(plan, options), planes: planesOf([]), film, thrown: {} };
    this.bending = bendingOfLamps(plan.lamps, options);
  }

  /** The light over a shelf (index) `height` mm above it, with the bags that stand on the rack. */
  sheet(occupancy: Occupancy, shelf: number, height: number): LevelSheet {
    const { plan, scene } = this.rack;
    const step = openStep(plan, shelf);
    const spots = [
      ...this.bagSpots(occupancy, shelf, height),
      ...this.openSpots(occupancy, shelf, height, step),
    ];
    const round = spots.map(({ box }) => box).reduce(hull, itemAt(scene.spaces, shelf));
    const pale = this.paleOf(occupancy, shelf);
    // What patches give each place in the open is the same for all lamps.
    const back = spots.map(({ point, cell }) =>
      pale && !cell ? patchRows(point, pale.patches, pale.inWay, ALL, this.rack.planes) : [],
    );
    const lamps = new Map<number, Float32Array>();
    for (const lamp of scene.lamps) {
      if (lamp.rack !== itemAt(scene.rackOfShelf, shelf) || !mayReach(scene, lamp, round)) continue;
      lamps.set(lamp.index, this.lampRows(spots, lamp, lamp.lamp.shelf === shelf ? pale : undefined, back));
    }
    return {
      height,
      places: spots.map(({ x, y, inside }) => ({ x, y, inside })),
      step,
      lamps,
      background: plan.background.map((_, index) => this.backgroundRows(spots, shelf, index)),
    };
  }

  private lampRows(
    spots: readonly Spot[],
    lamp: SceneLamp,
    pale: Pale | undefined,
    fromPatches: readonly (readonly Float64Array[])[],
  ): Float32Array {
    const { planes } = this.rack;
    const { share } = itemAt(this.bending, lamp.index);
    const inBags = pale && thrownBy(lamp.source, pale.thrown);
    const sent = pale && sentBack(lamp.source, pale.thrown);
    return rowsOf(spots, (row, { point, box, obstacles, own, cell }, n) => {
      const reach = hull(lamp.bounds, box);
      const inWay = sortInWay(obstacles.filter((one) => overlaps(one, reach)));
      gather(row, point, { source: lamp.source, inWay, own, planes });
      if (inBags && cell) addBetweenAt(row, itemAt(inBags, cell[0]), cell[1]);
      else if (sent) {
        const rows = weighted(itemAt(fromPatches, n), sent);
        for (let i = 0; i < row.length; i++) row[i] = numberAt(row, i) + numberAt(rows, i);
      }
      for (let i = 0; i < row.length; i++) row[i] = numberAt(row, i) * lamp.lamp.flux * share;
    });
  }

  private backgroundRows(spots: readonly Spot[], shelf: number, index: number): Float32Array {
    const { plan, planes } = this.rack;
    const light = itemAt(plan.background, index);
    const [x, y, z] = backgroundSide(light.from);
    return rowsOf(spots, (row, { point, obstacles, own, inside, ...place }) => {
      const zone = inside?.zone ?? nearestZone(plan, shelf, place.x, place.y);
      const level = zone === undefined ? (light.zones ? 0 : light.level) : backgroundIn(light, zone);
      if (level === 0) return;
      const far: Vec3 = [point[0] + FAR * x, point[1] + FAR * y, point[2] + FAR * z];
      addRay(row, rayLight(x, y, z, level), passRay(point, far, sortInWay(obstacles), own), planes);
    });
  }

  /** Zones of the shelf with bags, each with the kind that stands there. */
  private stocked(occupancy: Occupancy, shelf: number) {
    const { plan } = this.rack;
    return plan.zones.flatMap((zone, index) => {
      const bag = plan.bags[itemAt(occupancy, index)];
      return zone.shelf === shelf && bag ? [{ zone, index, bag }] : [];
    });
  }

  /** Everything of the rack that may stand in the way, but the bags of one zone. */
  private aroundZone(occupancy: Occupancy, shelf: number, but: number | undefined): Obstacle[] {
    const { plan, scene } = this.rack;
    const rack = itemAt(scene.rackOfShelf, shelf);
    return [
      ...[...scene.decks, ...scene.screens].filter((one) => one.rack === rack),
      ...plan.zones.flatMap((zone, index) =>
        index !== but && itemAt(scene.rackOfShelf, zone.shelf) === rack
          ? bagObstacles(this.rack, occupancy, index)
          : [],
      ),
    ];
  }

  private bagSpots(occupancy: Occupancy, shelf: number, height: number): Spot[] {
    const { plan, film } = this.rack;
    const z = (itemAt(plan.shelves, shelf).height + height) / 1000;
    let number = -1;
    return this.stocked(occupancy, shelf).flatMap(({ index, bag }) => {
      const [low, top] = [blockHeight(bag), bag.height];
      const rest = this.aroundZone(occupancy, shelf, index);
      return bagsOf(this.rack, index, bag).flatMap(({ headspace, obstacles }, n) => {
        number++;
        if (height < low || height > top) return [];
        const own = ownFilm(bag.film, film);
        const all = [...obstacles, ...rest];
        const layer = ((height - low) / (top - low)) * CELLS[2] - 0.5;
        const at = Math.min(CELLS[2] - 1, Math.max(0, layer));
        return columns(headspace).map(
          ([x, y, i, j]): Spot => ({
            ...{
              x: x * 1000,
              y: y * 1000,
              inside: { zone: index, bag: n },
              point: [x, y, z],
              box: headspace,
            },
            ...{ obstacles: all, own, cell: [number, [i, j, at]] },
          }),
        );
      });
    });
  }

  private openSpots(
    occupancy: Occupancy,
    shelf: number,
    height: number,
    [across, deep]: readonly [number, number],
  ): Spot[] {
    const { plan } = this.rack;
    const { width, depth, height: floor } = itemAt(plan.shelves, shelf);
    const all = this.aroundZone(occupancy, shelf, undefined);
    const bags = this.stocked(occupancy, shelf).flatMap(({ zone, bag }) =>
      height > bag.height ? [] : zone.places.map((place) => bagBoxes(bag, place, 0).block),
    );
    const [nx, ny] = [Math.round(width / across), Math.round(depth / deep)];
    return Array.from({ length: nx * ny }, (_, n) => n).flatMap((n): Spot[] => {
      const [x, y] = [((n % nx) + 0.5) * across, (Math.floor(n / nx) + 0.5) * deep];
      const flat = clearOf(bags, x / 1000, y / 1000, across / 2000, deep / 2000);
      if (!flat) return [];
      const point: Vec3 = [...flat, (floor + height) / 1000];
      const box = { lo: point, hi: point };
      return [{ x, y, inside: undefined, point, box, obstacles: all, own: ALL, cell: undefined }];
    });
  }

  private paleOf(occupancy: Occupancy, shelf: number): Pale | undefined {
    const { plan, scene, film, planes } = this.rack;
    const patches = surfacesOf(itemAt(plan.shelves, shelf)).flatMap((surface) => patchesOf(surface));
    if (patches.length === 0) return undefined;
    const key = `${shelf}:${occupancy.join()}`;
    if (this.pale.has(key)) return this.pale.get(key);
    const rack = itemAt(scene.rackOfShelf, shelf);
    const fixed = fixedObstacles(scene, rack, itemAt(scene.spaces, shelf));
    const zones = this.stocked(occupancy, shelf);
    const around = zones.flatMap(({ index, bag }) => {
      const beside = zones.filter((one) => one.index !== index);
      const rest = [...fixed, ...beside.flatMap((one) => bagObstacles(this.rack, occupancy, one.index))];
      const own = ownFilm(bag.film, film);
      return bagsOf(this.rack, index, bag).map(({ headspace, obstacles }) => ({
        ...{ box: headspace, inWay: sortInWay([...obstacles, ...rest]), own },
      }));
    });
    const inWay = sortInWay([
      ...fixed,
      ...zones.flatMap(({ index }) => bagObstacles(this.rack, occupancy, index)),
    ]);
    const made = { thrown: thrownInto(patches, inWay, around, planes), inWay, patches };
    this.pale.set(key, made);
    return made;
  }
}

function openStep(plan: ResolvedPlan, shelf: number): readonly [number, number] {
  const { width, depth } = itemAt(plan.shelves, shelf);
  const even = (size: number): number => size / Math.max(1, Math.ceil(size / OPEN_STEP));
  return [even(width), even(depth)];
}

/**
 * Where in a cell (its middle, half its sizes) there is no bag: the middle, else that of the widest strip that a bag
 * leaves; undefined where bags fill it.
 */
function clearOf(
  bags: readonly Box[],
  x: number,
  y: number,
  halfX: number,
  halfY: number,
): readonly [number, number] | undefined {
  const holder = (px: number, py: number): Box | undefined =>
    bags.find(({ lo, hi }) => lo[0] < px && px < hi[0] && lo[1] < py && py < hi[1]);
  const bag = holder(x, y);
  if (!bag) return [x, y];
  const strips = [
    { free: bag.lo[0] - (x - halfX), at: [(bag.lo[0] + x - halfX) / 2, y] },
    { free: x + halfX - bag.hi[0], at: [(bag.hi[0] + x + halfX) / 2, y] },
    { free: bag.lo[1] - (y - halfY), at: [x, (bag.lo[1] + y - halfY) / 2] },
    { free: y + halfY - bag.hi[1], at: [x, (bag.hi[1] + y + halfY) / 2] },
  ] as const;
  const open = strips.filter(({ free, at }) => free > 1e-6 && !holder(...at));
  return [...open].sort((a, b) => b.free - a.free)[0]?.at;
}

/** The middles of a headspace's columns of cells, x fastest: metres, and their numbers. */
function columns({ lo, hi }: Box): (readonly [x: number, y: number, i: number, j: number])[] {
  const [nx, ny] = CELLS;
  return Array.from({ length: nx * ny }, (_, n) => {
    const [i, j] = [n % nx, Math.floor(n / nx)];
    return [lo[0] + ((hi[0] - lo[0]) * (i + 0.5)) / nx, lo[1] + ((hi[1] - lo[1]) * (j + 0.5)) / ny, i, j];
  });
}

function rowsOf(
  spots: readonly Spot[],
  fill: (row: Float64Array, spot: Spot, n: number) => void,
): Float32Array {
  const pairs = 0;
  const row = new Float64Array(rowLength(pairs));
  const kept = new Float64Array(spots.length * POINT_LENGTH);
  for (const [n, spot] of spots.entries()) {
    row.fill(0);
    fill(row, spot, n);
    keepPoint(row, pairs, kept, n * POINT_LENGTH);
  }
  return new Float32Array(kept);
}

/** The zone of a shelf that is nearest to a place; undefined on a shelf without zones. */
function nearestZone(plan: ResolvedPlan, shelf: number, x: number, y: number): number | undefined {
  const off = (index: number): number => {
    const zone = sure(plan.zones[index]);
    const [dx, dy] = [Math.max(zone.x[0] - x, 0, x - zone.x[1]), Math.max(zone.y[0] - y, 0, y - zone.y[1])];
    return Math.hypot(dx, dy);
  };
  return plan.zones
    .flatMap((zone, index) => (zone.shelf === shelf ? [index] : []))
    .sort((a, b) => off(a) - off(b))[0];
}
