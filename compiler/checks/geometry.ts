/**
 * Checks of where things stand: zones on their shelf, bags in their zone,
 * lamps outside the bags and turned to them.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { Report } from '../findings/collector.ts';
import { blockHeight } from '../plan/block-height.ts';
import { lampPoints } from '../plan/lamp-points.ts';
import type {
  ResolvedBag,
  ResolvedLamp,
  ResolvedScreen,
  ResolvedShelf,
  ResolvedZone,
  Vec3,
} from '../plan/plan.ts';
import type { Draft } from '../resolve/resolve.ts';

/** Play allowed before something counts as not fitting, mm. */
const TOLERANCE_MM = 0.5;
/** A lamp or screen further than this outside its shelf, mm, is a slip of the pen. */
const STRAY_MM = 1000;

export function checkGeometry(draft: Draft, report: Report): void {
  const zones = draft.zones.filter((zone) => zone !== undefined);
  for (const zone of zones) zoneOnShelf(zone, draft.shelves[zone.shelf], report);
  overlaps(zones, report);
  const stands = standing(draft);
  for (const { zone, bag } of stands) bagsFit(zone, bag, draft.shelves[zone.shelf], report);
  for (const lamp of draft.lamps) if (lamp) checkLamp(lamp, draft, stands, report);
  for (const screen of draft.screens) {
    const shelf = screen && draft.shelves[screen.shelf];
    if (screen && shelf && !strays([screen.from, screen.to], shelf, screen, 'screen', report)) {
      screenInBag(screen, draft, report);
    }
  }
}

/** Without the noise of a conversion; the words round. */
const mm = (value: number) => Math.round(value * 1000) / 1000;

function zoneOnShelf(zone: ResolvedZone, shelf: ResolvedShelf | undefined, report: Report): void {
  if (!shelf) return;
  const sides = [
    { axis: 'x', range: zone.x, size: shelf.width },
    { axis: 'y', range: zone.y, size: shelf.depth },
  ] as const;
  for (const { axis, range, size } of sides) {
    if (range[0] >= -TOLERANCE_MM && range[1] <= size + TOLERANCE_MM) continue;
    const facts = {
      zone: zone.name,
      axis,
      from: mm(range[0]),
      to: mm(range[1]),
      size: mm(size),
      shelf: shelf.name,
    };
    report('zone-off-shelf', zone.span, facts, shelf.span, axis);
  }
}

function overlaps(zones: readonly ResolvedZone[], report: Report): void {
  for (const [i, zone] of zones.entries()) {
    const other = zones.slice(0, i).find((before) => before.shelf === zone.shelf && boxesMeet(before, zone));
    if (other) report('zone-overlap', zone.span, { zone: zone.name, other: other.name }, other.span);
  }
}

function boxesMeet(a: Pick<ResolvedZone, 'x' | 'y'>, b: Pick<ResolvedZone, 'x' | 'y'>): boolean {
  return (['x', 'y'] as const).every(
    (axis) => a[axis][0] < b[axis][1] - TOLERANCE_MM && b[axis][0] < a[axis][1] - TOLERANCE_MM,
  );
}

interface Standing {
  readonly zone: ResolvedZone;
  readonly bag: ResolvedBag;
}

/** Each kind of bag that stands in each zone, once. */
function standing(draft: Draft): readonly Standing[] {
  const pairs = new Map<string, Standing>();
  for (const batch of draft.batches) {
    for (const { zone: index } of batch?.zones ?? []) {
      const zone = draft.zones[index];
      const bag = batch && draft.bags[batch.bag];
      if (zone && bag) pairs.set(`${index} ${batch.bag}`, { zone, bag });
    }
  }
  return [...pairs.values()];
}

function bagsFit(
  zone: ResolvedZone,
  bag: ResolvedBag,
  shelf: ResolvedShelf | undefined,
  report: Report,
): void {
  const rows = [
    { axis: 'x', count: zone.across, range: zone.x, size: bag.footprint[0], shelf: shelf?.width },
    { axis: 'y', count: zone.deep, range: zone.y, size: bag.footprint[1], shelf: shelf?.depth },
  ] as const;
  for (const { axis, count, range, size, shelf: whole } of rows) {
    const room = range[1] - range[0];
    if (count * size <= room + TOLERANCE_MM) continue;
    const facts = {
      zone: zone.name,
      bag: bag.name,
      axis,
      count,
      needs: mm(count * size),
      room: mm(room),
      whole: whole === undefined || whole <= room + TOLERANCE_MM ? undefined : mm(whole),
      fits: Math.floor(room / size),
    };
    report('bag-no-room', zone.span, facts, bag.span, axis);
  }
  if (shelf && bag.height > shelf.clear + TOLERANCE_MM) {
    const facts = { bag: bag.name, height: mm(bag.height), shelf: shelf.name, clear: mm(shelf.clear) };
    report('bag-too-tall', bag.span, facts, shelf.span, shelf.name);
  }
}

interface Named {
  readonly name: string;
  readonly span: ResolvedLamp['span'];
}

function checkLamp(lamp: ResolvedLamp, draft: Draft, stands: readonly Standing[], report: Report): void {
  const shelf = draft.shelves[lamp.shelf];
  const points = lampPoints(lamp.shape, lamp.facing);
  if (!shelf || strays(points, shelf, lamp, 'lamp', report)) return;
  const bags = stands.filter(({ zone }) => zone.shelf === lamp.shelf);
  for (const { zone, bag } of bags) {
    const place = zone.places.find(({ x, y }) => meetsBag(points, bag, [x, y]));
    if (!place) continue;
    report('lamp-in-bag', lamp.span, { lamp: lamp.name, bag: place.name, zone: zone.name }, zone.span);
    return;
  }
  // A file may have light behind as well as before.
  const oneSided = lamp.photometry === undefined;
  if (
    oneSided &&
    bags.length > 0 &&
    bags.every((one) => facesAway(lamp, points, one)) &&
    shelf.deckPasses === 0
  ) {
    report('lamp-facing-away', lamp.span, { lamp: lamp.name, shelf: shelf.name });
  }
}

/** Below its shelf, through the board above, or far off to a side; reported. */
function strays(
  points: readonly Vec3[],
  shelf: ResolvedShelf,
  thing: Named,
  what: 'lamp' | 'screen',
  report: Report,
): boolean {
  const limits = [shelf.width + STRAY_MM, shelf.depth + STRAY_MM, shelf.clear + TOLERANCE_MM];
  const lows = [-STRAY_MM, -STRAY_MM, -TOLERANCE_MM];
  const axis = [0, 1, 2].find((i) =>
    points.some((point) => itemAt(point, i) > itemAt(limits, i) || itemAt(point, i) < itemAt(lows, i)),
  );
  if (axis === undefined) return false;
  const sizes = [shelf.width, shelf.depth, shelf.clear];
  const worst = points
    .map((point) => itemAt(point, axis))
    .reduce((a, b) => (Math.abs(b) > Math.abs(a) ? b : a), 0);
  const facts = {
    what,
    name: thing.name,
    axis: itemAt(['x', 'y', 'z'] as const, axis),
    at: mm(worst),
    size: mm(itemAt(sizes, axis)),
    shelf: shelf.name,
  };
  report('shelf-passed', thing.span, facts, shelf.span);
  return true;
}

type Slab = readonly [low: number, high: number];

/** Whether a flat body with these corners (a point, a line's two ends, a panel) goes through a bag. */
function meetsBag(points: readonly Vec3[], bag: ResolvedBag, place: readonly [number, number]): boolean {
  const slabs = insideOf(bag, place);
  let left = points;
  for (const axis of [0, 1, 2] as const) {
    left = cutBelow(cutBelow(left, axis, slabs[axis][0], 1), axis, slabs[axis][1], -1);
  }
  return left.length > 0;
}

/** The inside of a bag: x, y and z from and to, less the play. */
function insideOf(
  { footprint, height }: ResolvedBag,
  [x, y]: readonly [number, number],
): readonly [Slab, Slab, Slab] {
  return [
    [x - footprint[0] / 2 + TOLERANCE_MM, x + footprint[0] / 2 - TOLERANCE_MM],
    [y - footprint[1] / 2 + TOLERANCE_MM, y + footprint[1] / 2 - TOLERANCE_MM],
    [0, height - TOLERANCE_MM],
  ];
}

/** What is left of a flat body where `sign`·(coordinate − limit) is above zero. */
function cutBelow(points: readonly Vec3[], axis: 0 | 1 | 2, limit: number, sign: 1 | -1): readonly Vec3[] {
  const above = (point: Vec3) => sign * (point[axis] - limit);
  return points.flatMap((point, i): readonly Vec3[] => {
    const next = itemAt(points, (i + 1) % points.length);
    const [here, there] = [above(point), above(next)];
    const kept = here > 0 ? [point] : [];
    if (here > 0 === there > 0) return kept;
    const share = here / (here - there);
    const cut = (k: 0 | 1 | 2) => point[k] + share * (next[k] - point[k]);
    return [...kept, [cut(0), cut(1), cut(2)]];
  });
}

function screenInBag(screen: ResolvedScreen, draft: Draft, report: Report): void {
  const body = ([0, 1, 2] as const).map((i): Slab => {
    const ends = [screen.from[i], screen.to[i]];
    return [Math.min(...ends), Math.max(...ends)];
  });
  for (const { zone, bag } of standing(draft)) {
    if (zone.shelf !== screen.shelf) continue;
    const place = zone.places.find(({ x, y }) =>
      insideOf(bag, [x, y]).every(([low, high], i) => {
        const [from, to] = itemAt(body, i);
        return from < high && to > low;
      }),
    );
    if (!place) continue;
    report('screen-in-bag', screen.span, { screen: screen.name, bag: place.name }, zone.span);
    return;
  }
}

/** No corner of any headspace of the zone lies before the lamp. */
function facesAway(lamp: ResolvedLamp, points: readonly Vec3[], { zone, bag }: Standing): boolean {
  return zone.places.every(({ x, y }) =>
    corners(bag, x, y).every((corner) => points.every((point) => behind(lamp.facing, point, corner))),
  );
}

function behind(facing: Vec3, lamp: Vec3, point: Vec3): boolean {
  const along = facing.reduce(
    (sum, part, axis) => sum + part * (itemAt(point, axis) - itemAt(lamp, axis)),
    0,
  );
  return along <= 1e-6;
}

function corners(bag: ResolvedBag, x: number, y: number): readonly Vec3[] {
  const [halfX, halfY] = [bag.footprint[0] / 2, bag.footprint[1] / 2];
  const heights = [blockHeight(bag), bag.height];
  return heights.flatMap((z) =>
    [-1, 1].flatMap((i) => [-1, 1].map((j): Vec3 => [x + i * halfX, y + j * halfY, z])),
  );
}

/** Two batches in one zone on the same days. */
export function checkOccupancy(draft: Draft, report: Report): void {
  const stays = draft.batches.flatMap(
    (batch) => batch?.zones.map(({ zone, enters, free }) => ({ batch, zone, enters, free })) ?? [],
  );
  for (const [i, stay] of stays.entries()) {
    const other = stays
      .slice(0, i)
      .find((before) => before.zone === stay.zone && before.enters < stay.free && stay.enters < before.free);
    if (!other) continue;
    const [earlier, later] = other.enters <= stay.enters ? [other, stay] : [stay, other];
    const facts = {
      zone: sure(draft.zones[stay.zone]).name,
      earlier: earlier.batch.name,
      later: later.batch.name,
      free: isoDate(earlier.free),
      enters: isoDate(later.enters),
    };
    report('zone-taken', later.batch.span, facts, earlier.batch.span);
  }
}
