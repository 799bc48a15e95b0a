/**
 * The light of one lamp, or of a background, traced to every point of a zone's bags.
 *
 * Always holds: a ray crosses the film of the bag it ends in once and two films for the
 * headspace of every other bag on its way; blocks and screens stop it; boards pass what
 * their deck passes.
 */

import { itemAt } from '../../shared/assert.ts';
import type { ResolvedBag, ResolvedPlan, Vec3 } from '../plan/plan.ts';
import { shiningPatches, surfacesOf } from './bounce.ts';
import { addRay, type Gathering, gather, type Normals, rowLength } from './gather.ts';
import { type Box, bagBoxes, gridPoints, hull, overlaps, POINTS } from './headspace.ts';
import type { Bounce } from './options.ts';
import type { Scene, SceneLamp, Source } from './scene.ts';
import { type Obstacle, type Passed, passRay, sortInWay } from './shadow.ts';
import { rayLight } from './sources.ts';

/** For each zone the index of the bag that stands there, or -1. */
export type Occupancy = readonly number[];

/** What tracing needs to know of the rack. */
export interface Rack {
  readonly plan: ResolvedPlan;
  readonly scene: Scene;
  readonly normals: Normals;
  readonly bounce: Bounce | undefined;
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

/** What one lamp gives each bag of a zone: all points' rows end to end; undefined when nothing. */
export function traceLamp(
  context: Rack,
  occupancy: Occupancy,
  zone: number,
  near: Near,
): Float64Array[] | undefined {
  const { plan, scene, normals } = context;
  const bag = itemAt(plan.bags, itemAt(occupancy, zone));
  const way = hull(near.lamp.bounds, itemAt(scene.zoneBounds, zone));
  const boards = fixedObstacles(scene, near.lamp.rack, way);
  const others = near.between.filter((other) => other !== zone);
  const rest = [...boards, ...others.flatMap((other) => bagObstacles(context, occupancy, other))];
  const own = ownFilm(bag);
  const back = thrownBack(context, near.lamp, zone, rest);
  let any = false;
  const rows = eachBag(context, zone, bag, (box, obstacles) => {
    // The bag's own shelf first: it is what most often stops light from below or beside.
    const all = [...obstacles, ...rest];
    const way = hull(near.lamp.bounds, box);
    const inWay = sortInWay(all.filter((o) => overlaps(o, way)));
    const what: Gathering = { source: near.lamp.source, inWay, own, normals };
    const thrown = back.map((source) => ({ source, inWay: sortInWay(all), own, normals }));
    const found = rowsOf(box, normals, (row, point) => {
      gather(row, point, what);
      for (const patch of thrown) gather(row, point, patch);
    });
    any ||= someLight(found);
    return found;
  });
  return any ? rows : undefined;
}

/** Whether any value would round to a hundredth. */
function someLight(values: Float64Array): boolean {
  for (let i = 0; i < values.length; i++) if (itemAt(values, i) >= 0.005) return true;
  return false;
}

/** The patches of the zone's shelf that throw a lamp's light back. */
function thrownBack(context: Rack, lamp: SceneLamp, zone: number, obstacles: readonly Obstacle[]): Source[] {
  const { bounce, plan } = context;
  const at = itemAt(plan.zones, zone).shelf;
  if (bounce === undefined || lamp.lamp.shelf !== at) return [];
  const shelf = itemAt(plan.shelves, at);
  const floor = shelf.height / 1000;
  // A hair under the next board, so that the board does not stand before its own underside.
  const ceiling = floor + shelf.clear / 1000 - 1e-3;
  const boarded = plan.shelves.some(
    (other) => Math.abs(other.height / 1000 - ceiling) < 0.1 && other.deckPasses === 0,
  );
  const size = { width: shelf.width / 1000, depth: shelf.depth / 1000, floor };
  const space = { ...size, ceiling: boarded ? ceiling : undefined, solid: shelf.deckPasses === 0 };
  // Film on the way takes light, not direction: what falls on a board falls on it from anywhere.
  const inWay = sortInWay(
    obstacles.filter((o) => o.total < 1 && o.hi[2] - o.lo[2] > 1e-3).map((o) => ({ ...o, direct: o.total })),
  );
  const what = { source: lamp.source, inWay, own: { direct: 1, total: 1 }, normals: [] };
  return surfacesOf(space, bounce).flatMap((surface) =>
    shiningPatches(surface, (point) => {
      const row = new Float64Array(rowLength(0));
      gather(row, point, what);
      return Math.max(
        0,
        itemAt(row, 0) * surface.normal[0] +
          itemAt(row, 1) * surface.normal[1] +
          itemAt(row, 2) * surface.normal[2],
      );
    }).map((panel) => ({ kind: 'panel' as const, panel })),
  );
}

/** Boards and screens of the rack that touch the box. */
function fixedObstacles(scene: Scene, rack: number, way: Box): Obstacle[] {
  return [...scene.decks, ...scene.screens].filter((o) => o.rack === rack && overlaps(o, way));
}

/** Runs `look` for each bag of the zone with its headspace and what its own zone puts in the way. */
function eachBag(
  { plan }: Rack,
  zone: number,
  bag: ResolvedBag,
  look: (headspace: Box, obstacles: Obstacle[]) => Float64Array,
): Float64Array[] {
  const { places, shelf } = itemAt(plan.zones, zone);
  const boxes = places.map((place) => bagBoxes(bag, place, itemAt(plan.shelves, shelf).height / 1000));
  const blocks: Obstacle[] = boxes.map(({ block }) => ({ ...block, direct: 0, total: 0 }));
  const films = boxes.map(({ headspace }) => ({ ...headspace, ...otherFilm(bag) }));
  return boxes.map(({ headspace }, index) =>
    look(headspace, [
      // Its own block stops most of what comes from below; looked at first, it saves looking at the rest.
      itemAt(blocks, index),
      ...blocks.filter((_, other) => other !== index),
      ...films.filter((_, other) => other !== index),
    ]),
  );
}

/** Blocks and headspaces of the bags of another zone. */
function bagObstacles({ plan }: Rack, occupancy: Occupancy, zone: number): Obstacle[] {
  const bag = plan.bags[occupancy[zone] ?? -1];
  if (bag === undefined) return [];
  const { places, shelf } = itemAt(plan.zones, zone);
  return places.flatMap((place) => {
    const { block, headspace } = bagBoxes(bag, place, itemAt(plan.shelves, shelf).height / 1000);
    return [
      { ...block, direct: 0, total: 0 },
      { ...headspace, ...otherFilm(bag) },
    ];
  });
}

/** What the bag's own film leaves: crossed once. */
function ownFilm({ film }: ResolvedBag): Passed {
  return { direct: film.passes * (1 - film.scatters), total: film.passes };
}

/** What another bag's headspace leaves: two films. */
function otherFilm(bag: ResolvedBag): Passed {
  const { direct, total } = ownFilm(bag);
  return { direct: direct * direct, total: total * total };
}

/** The rows of all points of a headspace, each filled by `fill`. */
function rowsOf(box: Box, normals: Normals, fill: (row: Float64Array, point: Vec3) => void): Float64Array {
  const length = rowLength(normals.length);
  const rows = new Float64Array(POINTS * length);
  gridPoints(box).forEach((point, n) => {
    fill(rows.subarray(n * length, (n + 1) * length), point);
  });
  return rows;
}

/** Far enough away to lie outside any rack, metres. */
const FAR = 50;

/**
 * What each background gives each bag of a zone, as for a lamp: parallel rays from its
 * side, level with the bags, or straight from above.
 */
export function traceBackground(context: Rack, occupancy: Occupancy, zone: number): Float64Array[][] {
  const { plan, scene, normals } = context;
  const bag = itemAt(plan.bags, itemAt(occupancy, zone));
  const rack = itemAt(scene.rackOfShelf, itemAt(plan.zones, zone).shelf);
  return plan.background.map((light) => {
    const [x, y] = light.from === 'above' ? [0, 0] : azimuthNormal(light.from);
    const ray = rayLight(x, y, light.from === 'above' ? 1 : 0, light.level);
    const others = besideZone(context, zone).filter((other) => other !== zone);
    const rest = [
      ...[...scene.decks, ...scene.screens].filter((o) => o.rack === rack),
      ...others.flatMap((other) => bagObstacles(context, occupancy, other)),
    ];
    return eachBag(context, zone, bag, (box, obstacles) => {
      const inWay = sortInWay([...obstacles, ...rest]);
      return rowsOf(box, normals, (row, p) => {
        const far: Vec3 = [p[0] + FAR * x, p[1] + FAR * y, p[2] + (light.from === 'above' ? FAR : 0)];
        addRay(row, ray, passRay(p, far, inWay, ownFilm(bag)), normals);
      });
    });
  });
}
