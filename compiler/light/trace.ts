/**
 * The light of one lamp, or of a background, traced to every point of a zone's bags.
 *
 * Always holds: a ray crosses the film of the bag it ends in once and two films for the
 * headspace of every other bag on its way; blocks and screens stop it; boards pass what
 * their deck passes.
 */

import { itemAt } from '../../shared/assert.ts';
import { backgroundIn } from '../plan/on-the-rack.ts';
import type { ResolvedBackground, ResolvedBag, ResolvedPlan, Vec3 } from '../plan/plan.ts';
import { type FilmModel, otherFilm, ownFilm } from './film.ts';
import { type Gathering, gather } from './gather.ts';
import { type Box, bagBoxes, gridPoints, hull, overlaps, POINTS } from './headspace.ts';
import type { BagTrace } from './known.ts';
import { patchesOf, surfacesOf } from './reflect.ts';
import { AXES, addRay, keepPoint, meanLength, POINT_LENGTH, rowLength } from './row.ts';
import type { Scene, SceneLamp } from './scene.ts';
import { type Obstacle, passRay, STOPS, sortInWay } from './shadow.ts';
import { rayLight } from './sources.ts';
import { type Around, addBetween, type Thrown, thrownBy, thrownInto } from './thrown.ts';

/** For each zone the index of the bag that stands there, or -1. */
export type Occupancy = readonly number[];

/** What tracing needs to know of the rack. */
export interface Rack {
  readonly plan: ResolvedPlan;
  readonly scene: Scene;
  /** Of the rows (`planesOf`). */
  readonly planes: readonly Vec3[];
  readonly film: FilmModel;
  /** What surfaces throw back into the zone looked at last, by its key. */
  readonly thrown: { key?: string; into?: Thrown };
}

/** A lamp that may reach a zone, and the zones whose bags may stand in its way. */
export interface Near {
  readonly lamp: SceneLamp;
  readonly between: readonly number[];
}

/** The unit vector (x, y) toward an azimuth; exact at the four sides. */
export function azimuthNormal(azimuth: number): readonly [number, number] {
  const turned = ((azimuth % 360) + 360) % 360;
  if (turned % 90 === 0)
    return itemAt(
      [
        [0, 1],
        [1, 0],
        [0, -1],
        [-1, 0],
      ] as const,
      turned / 90,
    );
  const angle = (turned * Math.PI) / 180;
  return [Math.sin(angle), Math.cos(angle)];
}

/** The zones whose bags background light may pass: those of the shelf, or of the rack when some comes from above. */
export function besideZone({ plan, scene }: Rack, zone: number): number[] {
  const { shelf } = itemAt(plan.zones, zone);
  const above = plan.background.some(({ from }) => from === 'above');
  const place = (index: number): number => (above ? itemAt(scene.rackOfShelf, index) : index);
  return plan.zones.flatMap((other, index) => (place(other.shelf) === place(shelf) ? [index] : []));
}

/** What one lamp, if it gave one lumen, gives each bag of a zone. */
export function traceLamp(context: Rack, occupancy: Occupancy, zone: number, near: Near): BagTrace[] {
  const { plan, scene, planes } = context;
  const bag = itemAt(plan.bags, itemAt(occupancy, zone));
  const way = hull(near.lamp.bounds, itemAt(scene.zoneBounds, zone));
  const boards = fixedObstacles(scene, near.lamp.rack, way);
  const others = near.between.filter((other) => other !== zone);
  const rest = [...boards, ...others.flatMap((other) => bagObstacles(context, occupancy, other))];
  const own = ownFilm(bag.film, context.film);
  const thrown = lampThrown(context, occupancy, zone, near.lamp);
  return eachBag(context, zone, bag, (box, obstacles, index) => {
    // The bag's own shelf first: it is what most often stops light from below or beside.
    const all = [...obstacles, ...rest];
    const reach = hull(near.lamp.bounds, box);
    const inWay = sortInWay(all.filter((o) => overlaps(o, reach)));
    const what: Gathering = { source: near.lamp.source, inWay, own, planes };
    const back = thrown?.[index];
    return lookAround(box, planes, (row, point, n) => {
      gather(row, point, what);
      if (back !== undefined) addBetween(row, back, n);
    });
  });
}

/** What the surfaces of the zone's shelf throw back of a lamp on it, by bag; undefined where nothing does. */
function lampThrown(context: Rack, occupancy: Occupancy, zone: number, lamp: SceneLamp) {
  const { plan, scene } = context;
  const index = itemAt(plan.zones, zone).shelf;
  const shelf = itemAt(plan.shelves, index);
  if (lamp.lamp.shelf !== index) return undefined;
  const patches = surfacesOf(shelf).flatMap((surface) => patchesOf(surface));
  if (patches.length === 0) return undefined;
  const beside = plan.zones.flatMap((other, n) => (other.shelf === index && n !== zone ? [n] : []));
  const key = [zone, ...beside].map((n) => `${n}/${itemAt(occupancy, n)}`).join(' ');
  if (context.thrown.key !== key) {
    const bag = itemAt(plan.bags, itemAt(occupancy, zone));
    const fixed = fixedObstacles(scene, lamp.rack, itemAt(scene.spaces, index));
    const rest = [...fixed, ...beside.flatMap((other) => bagObstacles(context, occupancy, other))];
    const around: Around[] = [];
    const own = ownFilm(bag.film, context.film);
    for (const { headspace, obstacles } of bagsOf(context, zone, bag)) {
      around.push({ box: headspace, inWay: sortInWay([...obstacles, ...rest]), own });
    }
    const all = sortInWay([...rest, ...bagObstacles(context, occupancy, zone)]);
    context.thrown.key = key;
    context.thrown.into = thrownInto(patches, all, around, context.planes);
  }
  return context.thrown.into && thrownBy(lamp.source, context.thrown.into);
}

/** Boards and screens of the rack that touch the box. */
export function fixedObstacles(scene: Scene, rack: number, way: Box): Obstacle[] {
  return [...scene.decks, ...scene.screens].filter((o) => o.rack === rack && overlaps(o, way));
}

/** Runs `look` for each bag of the zone with its headspace and what its own zone puts in the way. */
function eachBag(
  context: Rack,
  zone: number,
  bag: ResolvedBag,
  look: (headspace: Box, obstacles: readonly Obstacle[], index: number) => BagTrace,
): BagTrace[] {
  return bagsOf(context, zone, bag).map(({ headspace, obstacles }, index) =>
    look(headspace, obstacles, index),
  );
}

/** Each bag's headspace and what its own zone puts in the way. */
export function bagsOf({ plan, film }: Rack, zone: number, bag: ResolvedBag) {
  const { places, shelf } = itemAt(plan.zones, zone);
  const boxes = places.map((place) => bagBoxes(bag, place, itemAt(plan.shelves, shelf).height / 1000));
  const blocks: Obstacle[] = boxes.map(({ block }) => ({ ...block, ...STOPS }));
  const films: Obstacle[] = boxes.map(({ headspace }) => ({ ...headspace, ...otherFilm(bag.film, film) }));
  return boxes.map(({ headspace }, index) => ({
    headspace,
    obstacles: [
      // Its own block stops most of what comes from below; looked at first, it saves looking at the rest.
      itemAt(blocks, index),
      ...blocks.filter((_, other) => other !== index),
      ...films.filter((_, other) => other !== index),
    ],
  }));
}

/** Blocks and headspaces of the bags of another zone. */
export function bagObstacles({ plan, film }: Rack, occupancy: Occupancy, zone: number): Obstacle[] {
  const bag = plan.bags[itemAt(occupancy, zone)];
  if (bag === undefined) return [];
  const { places, shelf } = itemAt(plan.zones, zone);
  return places.flatMap((place) => {
    const { block, headspace } = bagBoxes(bag, place, itemAt(plan.shelves, shelf).height / 1000);
    return [
      { ...block, ...STOPS },
      { ...headspace, ...otherFilm(bag.film, film) },
    ];
  });
}

/** Looks round at every point of a headspace; `fill` adds all light at a point to its row. */
function lookAround(
  box: Box,
  planes: readonly Vec3[],
  fill: (row: Float64Array, point: Vec3, n: number) => void,
): BagTrace {
  const pairs = planes.length - AXES.length;
  const row = new Float64Array(rowLength(pairs));
  const means = new Float64Array(meanLength(pairs));
  const points = new Float64Array(POINTS * POINT_LENGTH);
  for (const [n, point] of gridPoints(box).entries()) {
    row.fill(0);
    fill(row, point, n);
    keepPoint(row, pairs, points, n * POINT_LENGTH);
    for (let i = 0; i < means.length; i++) means[i] = (means[i] ?? 0) + (row[i] ?? 0) / POINTS;
  }
  return { means, points };
}

/** Far enough away to lie outside any rack, metres. */
export const FAR = 50;

/** The unit vector toward a background. */
export function backgroundSide(from: ResolvedBackground['from']): Vec3 {
  return from === 'above' ? [0, 0, 1] : [...azimuthNormal(from), 0];
}

/** The box round all ways from a box to a background. */
export function backgroundWay(from: ResolvedBackground['from'], { lo, hi }: Box): Box {
  const side = backgroundSide(from);
  const away = (p: Vec3): Vec3 => [p[0] + FAR * side[0], p[1] + FAR * side[1], p[2] + FAR * side[2]];
  return hull({ lo, hi }, { lo: away(lo), hi: away(hi) });
}

/**
 * What each background gives each bag of a zone, as for a lamp: parallel rays from its
 * side, level with the bags, or straight from above.
 */
export function traceBackground(context: Rack, occupancy: Occupancy, zone: number): BagTrace[][] {
  const { plan, scene, planes } = context;
  const bag = itemAt(plan.bags, itemAt(occupancy, zone));
  const rack = itemAt(scene.rackOfShelf, itemAt(plan.zones, zone).shelf);
  return plan.background.map((light) => {
    const [x, y, z] = backgroundSide(light.from);
    const ray = rayLight(x, y, z, backgroundIn(light, zone));
    const others = besideZone(context, zone).filter((other) => other !== zone);
    const rest = [
      ...fixedObstacles(scene, rack, backgroundWay(light.from, itemAt(scene.zoneBounds, zone))),
      ...others.flatMap((other) => bagObstacles(context, occupancy, other)),
    ];
    return eachBag(context, zone, bag, (box, obstacles) => {
      const inWay = sortInWay([...obstacles, ...rest]);
      return lookAround(box, planes, (row, p) => {
        const far: Vec3 = [p[0] + FAR * x, p[1] + FAR * y, p[2] + FAR * z];
        addRay(row, ray, passRay(p, far, inWay, ownFilm(bag.film, context.film)), planes);
      });
    });
  });
}
