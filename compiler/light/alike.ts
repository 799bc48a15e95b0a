/**
 * What the light of a lamp, or of a background, in a zone depends on, told as seen from
 * the zone: equal for zones that are built and stocked alike, wherever they stand.
 *
 * Always holds: everything that tracing reads is told, lengths to ten nanometres, so
 * that zones told alike get the same light to every digit that is kept.
 */

import { itemAt } from '../../shared/assert.ts';
import { backgroundIn } from '../plan/on-the-rack.ts';
import type { ResolvedBag, Vec3 } from '../plan/plan.ts';
import { type Box, hull } from './headspace.ts';
import type { Numbered } from './numbered.ts';
import { surfacesOf } from './reflect.ts';
import type { Drawn, SceneLamp } from './scene.ts';
import type { Obstacle } from './shadow.ts';
import { backgroundWay, besideZone, fixedObstacles, type Near, type Occupancy, type Rack } from './trace.ts';

/** Steps in a metre (or any other unit) by which things are told apart. */
const FINE = 1e8;

const told = (values: readonly number[]): string => values.map((value) => Math.round(value * FINE)).join();

const seenFrom = (origin: Vec3, points: readonly Vec3[]): string =>
  points.map((point) => told(point.map((value, axis) => value - itemAt(origin, axis)))).join();

const boxText = (origin: Vec3, { lo, hi, direct, kept, total }: Obstacle): string =>
  `${seenFrom(origin, [lo, hi])} ${told([direct, kept, total])}`;

const bagText = ({ footprint, height, fill, density, film }: ResolvedBag): string =>
  told([...footprint, height, fill, density, film.passes, film.scatters]);

function drawnText(origin: Vec3, drawn: Drawn): string {
  switch (drawn.kind) {
    case 'strip': {
      const { from, along, length, facing, perMetre } = drawn.strip;
      return `strip ${seenFrom(origin, [from, drawn.to])} ${told([...along, length, ...facing, perMetre])}`;
    }
    case 'spot': {
      const { at, axis, peak, exponent } = drawn.spot;
      return `spot ${seenFrom(origin, [at])} ${told([...axis, peak, exponent])}`;
    }
    case 'panel': {
      const { corners, axis, exitance } = drawn.panel;
      return `panel ${seenFrom(origin, corners)} ${told([...axis, exitance])}`;
    }
  }
}

function sourceText(origin: Vec3, { lamp, source }: SceneLamp): string {
  if (source.kind !== 'measured') return drawnText(origin, source);
  const { drawn, scale, frame } = source.measured;
  return `${JSON.stringify(lamp.photometry)} ${told([scale, ...frame.flat()])} ${drawnText(origin, drawn)}`;
}

/** Tells what reaches the zones of one rack. */
export class Likeness {
  private readonly rack: Rack;
  private readonly numbered: Numbered;
  /** What holds for every zone of the plan. */
  private readonly frame: number;
  private readonly lamps = new Map<Near, number>();
  private readonly backgrounds = new Map<number, number>();
  private readonly standing = new Map<number, number>();

  constructor(rack: Rack, numbered: Numbered) {
    this.rack = rack;
    this.numbered = numbered;
    const { forward, returns } = rack.film;
    this.frame = numbered.of(`${told(rack.planes.flat())} ${told([forward, returns])}`);
  }

  /** All that one lamp's light in a zone depends on. */
  ofLamp(occupancy: Occupancy, zone: number, near: Near): string {
    const lamp = this.lamps.get(near) ?? this.numbered.of(this.lampText(zone, near));
    this.lamps.set(near, lamp);
    return `${this.frame} ${lamp} ${this.bagsOf(occupancy, zone, near.between)}`;
  }

  /** The same for all background light of the plan. */
  ofBackground(occupancy: Occupancy, zone: number): string {
    const around = this.backgrounds.get(zone) ?? this.numbered.of(this.backgroundText(zone));
    this.backgrounds.set(zone, around);
    return `${this.frame} ${around} ${this.bagsOf(occupancy, zone, besideZone(this.rack, zone))}`;
  }

  /** The bags of the zone itself, then those of the others. */
  private bagsOf(occupancy: Occupancy, zone: number, others: readonly number[]): string {
    let text = String(this.bagsIn(zone, zone, itemAt(occupancy, zone)));
    for (const other of others) {
      const bag = itemAt(occupancy, other);
      if (other !== zone && bag >= 0) text += `,${this.bagsIn(zone, other, bag)}`;
    }
    return text;
  }

  private bagsIn(zone: number, other: number, bag: number): number {
    const { plan } = this.rack;
    const key = (zone * plan.zones.length + other) * plan.bags.length + bag;
    const known = this.standing.get(key);
    if (known !== undefined) return known;
    const { shelf, places } = itemAt(plan.zones, other);
    const floor = itemAt(plan.shelves, shelf).height / 1000;
    const points = places.map(({ x, y }): Vec3 => [x / 1000, y / 1000, floor]);
    const number = this.numbered.of(
      `${bagText(itemAt(plan.bags, bag))} ${seenFrom(this.origin(zone), points)}`,
    );
    this.standing.set(key, number);
    return number;
  }

  /** The corner of the zone from which everything is told. */
  private origin(zone: number): Vec3 {
    const { scene, plan } = this.rack;
    const [x, y] = itemAt(scene.zoneBounds, zone).lo;
    return [x, y, itemAt(plan.shelves, itemAt(plan.zones, zone).shelf).height / 1000];
  }

  private lampText(zone: number, { lamp }: Near): string {
    const { scene, plan } = this.rack;
    const origin = this.origin(zone);
    const way = hull(lamp.bounds, itemAt(scene.zoneBounds, zone));
    const { shelf } = itemAt(plan.zones, zone);
    const thrown = lamp.lamp.shelf === shelf ? this.shelfText(origin, shelf) : '';
    return `${sourceText(origin, lamp)}|${this.boardsText(origin, lamp.rack, way)}|${thrown}`;
  }

  private boardsText(origin: Vec3, rack: number, way: Box): string {
    return fixedObstacles(this.rack.scene, rack, way)
      .map((board) => boxText(origin, board))
      .join(';');
  }

  /** Surfaces that throw light back, and what stands between them besides bags. */
  private shelfText(origin: Vec3, index: number): string {
    const { plan, scene } = this.rack;
    const surfaces = surfacesOf(itemAt(plan.shelves, index));
    if (surfaces.length === 0) return '';
    const rack = itemAt(scene.rackOfShelf, index);
    const pale = surfaces.map(
      ({ corner, along, across, normal, reflects }) =>
        `${seenFrom(origin, [corner])} ${told([...along, ...across, ...normal, reflects])}`,
    );
    return `${pale.join(';')}|${this.boardsText(origin, rack, itemAt(scene.spaces, index))}`;
  }

  private backgroundText(zone: number): string {
    const { plan, scene } = this.rack;
    const rack = itemAt(scene.rackOfShelf, itemAt(plan.zones, zone).shelf);
    return plan.background
      .map((light) => {
        const { from } = light;
        const way = backgroundWay(from, itemAt(scene.zoneBounds, zone));
        return `${from} ${backgroundIn(light, zone)} ${this.boardsText(this.origin(zone), rack, way)}`;
      })
      .join('|');
  }
}
