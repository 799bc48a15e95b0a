/**
 * Changes to the rack that might help a zone, each tried before it is offered.
 *
 * Always holds: a remedy is a changed plan; trying one settles the zone's worst day on
 * the changed rack, with the zones around, exactly as the schedule would be.
 */

import { itemAt } from '../../shared/assert.ts';
import { lumens, millimetres } from '../../shared/units.ts';
import { lightField } from '../light/field.ts';
import type { FieldOptions } from '../light/options.ts';
import { lampsOfZone } from '../plan/on-the-rack.ts';
import type { ResolvedLamp, ResolvedPlan, ResolvedScreen, Vec3 } from '../plan/plan.ts';
import { steerDays } from '../steer/choose.ts';
import type { Treatment } from '../steer/treatment.ts';
import type { DayDemands } from '../timeline/demand.ts';

/** A change that can be told to the grower. */
export type Remedy =
  | { readonly kind: 'screen'; readonly shelf: number; readonly axis: 'x' | 'y'; readonly at: number }
  | { readonly kind: 'longer'; readonly lamps: readonly number[]; readonly lengths: readonly number[] }
  | { readonly kind: 'flux'; readonly lamps: readonly number[]; readonly percent: number }
  | { readonly kind: 'cover'; readonly shelf: number }
  | { readonly kind: 'ends'; readonly zone: number };

/** Space left between a lengthened strip and the edge of its shelf. */
const EDGE = 20;

/** The rack with all the remedies in place. */
function applyRemedies(plan: ResolvedPlan, remedies: readonly Remedy[]): ResolvedPlan {
  return remedies.reduce(applyRemedy, plan);
}

function applyRemedy(plan: ResolvedPlan, remedy: Remedy): ResolvedPlan {
  switch (remedy.kind) {
    case 'screen':
      return { ...plan, screens: [...plan.screens, screenAt(plan, remedy)] };
    case 'longer':
      return changeLamps(plan, remedy.lamps, (lamp) => lengthened(plan, lamp));
    case 'flux':
      return changeLamps(plan, remedy.lamps, (lamp) => ({
        ...lamp,
        flux: lumens((lamp.flux * remedy.percent) / 100),
      }));
    case 'cover':
      return {
        ...plan,
        shelves: plan.shelves.map((shelf, n) => (n === remedy.shelf ? { ...shelf, deckPasses: 0 } : shelf)),
      };
    case 'ends':
      return {
        ...plan,
        zones: plan.zones.map((zone, n) => (n === remedy.zone ? withoutEnds(zone) : zone)),
      };
  }
}

function changeLamps(
  plan: ResolvedPlan,
  which: readonly number[],
  change: (lamp: ResolvedLamp) => ResolvedLamp,
): ResolvedPlan {
  return { ...plan, lamps: plan.lamps.map((lamp, n) => (which.includes(n) ? change(lamp) : lamp)) };
}

function screenAt(plan: ResolvedPlan, { shelf, axis, at }: Remedy & { kind: 'screen' }): ResolvedScreen {
  const { width, depth, clear, span } = itemAt(plan.shelves, shelf);
  const [from, to]: [Vec3, Vec3] =
    axis === 'x'
      ? [
          [at, 0, 0],
          [at, depth, clear],
        ]
      : [
          [0, at, 0],
          [width, at, clear],
        ];
  return { name: 'tried', shelf, from, to, span };
}

/** A strip drawn out, from shelf edge or screen to the next, with the same flux; other lamps stay as they are. */
function lengthened(plan: ResolvedPlan, lamp: ResolvedLamp): ResolvedLamp {
  if (lamp.shape.kind !== 'strip') return lamp;
  const { from, to } = lamp.shape;
  const axis = longAxis(lamp);
  const [low, high] = itemAt(from, axis) < itemAt(to, axis) ? [from, to] : [to, from];
  const [start, end] = clearAlong(plan, lamp.shelf, axis, low, high);
  const reach = (point: Vec3, value: number): Vec3 => [
    axis === 0 ? value : point[0],
    axis === 1 ? value : point[1],
    axis === 2 ? value : point[2],
  ];
  const longer = {
    from: reach(low, Math.min(start + EDGE, itemAt(low, axis))),
    to: reach(high, Math.max(end - EDGE, itemAt(high, axis))),
  };
  return { ...lamp, shape: { kind: 'strip', ...longer } };
}

/** Between which places, along the strip's own axis, nothing but its shelf's edges and screens ends its way. */
function clearAlong(
  plan: ResolvedPlan,
  shelf: number,
  axis: 0 | 1 | 2,
  low: Vec3,
  high: Vec3,
): readonly [start: number, end: number] {
  const { width, depth, clear } = itemAt(plan.shelves, shelf);
  const range = (a: Vec3, b: Vec3, i: 0 | 1 | 2): [number, number] => [
    Math.min(a[i], b[i]),
    Math.max(a[i], b[i]),
  ];
  const crossing = plan.screens.filter(
    (screen) =>
      screen.shelf === shelf &&
      ([0, 1, 2] as const).every((i) => {
        const [from, to] = range(screen.from, screen.to, i);
        const [least, most] = range(low, high, i);
        return i === axis || (from <= most && to >= least);
      }),
  );
  const places = crossing.flatMap(({ from, to }) => range(from, to, axis));
  const middle = (low[axis] + high[axis]) / 2;
  return [
    Math.max(0, ...places.filter((place) => place <= middle)),
    Math.min(itemAt([width, depth, clear], axis), ...places.filter((place) => place > middle)),
  ];
}

function longAxis(lamp: ResolvedLamp): 0 | 1 | 2 {
  if (lamp.shape.kind !== 'strip') return 0;
  const { from, to } = lamp.shape;
  const length = (axis: 0 | 1 | 2): number => Math.abs(to[axis] - from[axis]);
  return length(0) >= length(1) && length(0) >= length(2) ? 0 : length(1) >= length(2) ? 1 : 2;
}

/** Length of a strip, mm; 0 for other lamps. */
function stripLength(lamp: ResolvedLamp): number {
  if (lamp.shape.kind !== 'strip') return 0;
  const { from, to } = lamp.shape;
  return Math.hypot(to[0] - from[0], to[1] - from[1], to[2] - from[2]);
}

/** Drawing out the strips of a zone, where that makes them noticeably longer. */
export function longerStrips(plan: ResolvedPlan, zone: number): Remedy | undefined {
  const lamps = lampsOfZone(plan, zone);
  const after = lamps.map((n) => stripLength(lengthened(plan, itemAt(plan.lamps, n))));
  const worth = lamps.filter((n, i) => itemAt(after, i) > 1.05 * stripLength(itemAt(plan.lamps, n)));
  if (worth.length === 0) return undefined;
  return {
    kind: 'longer',
    lamps: worth,
    lengths: worth.map((n) => Math.round(itemAt(after, lamps.indexOf(n)))),
  };
}

/** Leaving the bags at both ends of a long row out. */
export function emptyEnds(plan: ResolvedPlan, zone: number): Remedy | undefined {
  const { across, deep } = itemAt(plan.zones, zone);
  return Math.max(across, deep) >= 4 ? { kind: 'ends', zone } : undefined;
}

function withoutEnds(zone: ResolvedPlan['zones'][number]): ResolvedPlan['zones'][number] {
  const along = zone.across >= zone.deep ? 'x' : 'y';
  const values = zone.places.map((place) => place[along]);
  const [low, high] = [Math.min(...values), Math.max(...values)];
  return { ...zone, places: zone.places.filter((place) => place[along] > low && place[along] < high) };
}

/** A screen between a zone and another on the same shelf, clear of the lamps of both. */
export function screenBetween(plan: ResolvedPlan, zone: number, other: number): Remedy | undefined {
  const [a, b] = [itemAt(plan.zones, zone), itemAt(plan.zones, other)];
  if (zone === other || a.shelf !== b.shelf) return undefined;
  for (const axis of ['x', 'y'] as const) {
    const [first, second] = a[axis][1] <= b[axis][0] ? [zone, other] : [other, zone];
    if (itemAt(plan.zones, first)[axis][1] > itemAt(plan.zones, second)[axis][0]) continue;
    const low = Math.max(
      itemAt(plan.zones, first)[axis][1],
      ...lampsOfZone(plan, first).map((n) => extent(plan, n, axis)[1]),
    );
    const high = Math.min(
      itemAt(plan.zones, second)[axis][0],
      ...lampsOfZone(plan, second).map((n) => extent(plan, n, axis)[0]),
    );
    if (low < high)
      return { kind: 'screen', shelf: a.shelf, axis, at: millimetres(Math.round((low + high) / 2)) };
  }
  return undefined;
}

function extent(plan: ResolvedPlan, lamp: number, axis: 'x' | 'y'): [number, number] {
  const at = axis === 'x' ? 0 : 1;
  const { shape } = itemAt(plan.lamps, lamp);
  const values = shape.kind === 'strip' ? [shape.from[at], shape.to[at]] : [shape.at[at]];
  return [Math.min(...values), Math.max(...values)];
}

/** What a zone gets on a day of the changed rack. */
export function tryRemedies(
  plan: ResolvedPlan,
  options: FieldOptions,
  remedies: readonly Remedy[],
  day: DayDemands,
  zone: number,
): Treatment[] {
  const changed = applyRemedies(plan, remedies);
  const around = zonesAround(plan, zone);
  const part = {
    ...day,
    demands: day.demands.filter((demand) => around.has(demand.zone)),
    dark: day.dark.filter(([dark]) => around.has(dark)),
  };
  const { treatments } = steerDays(changed, lightField(changed, options), [part]);
  return treatments.filter((treatment) => treatment.zone === zone);
}

/** The zones of the same shelf and, where a deck passes light, of the next shelves up and down. */
function zonesAround(plan: ResolvedPlan, zone: number): Set<number> {
  const own = itemAt(plan.zones, zone).shelf;
  const here = itemAt(plan.shelves, own);
  const gap = (shelf: number): number => Math.abs(itemAt(plan.shelves, shelf).height - here.height);
  const near = plan.shelves.map(
    (shelf, n) => n === own || (gap(n) <= 2 * here.clear && shelf.deckPasses + here.deckPasses > 0),
  );
  return new Set(plan.zones.flatMap(({ shelf }, n) => (near[shelf] ? [n] : [])));
}
