/**
 * The light field: what each output at full, and each background, gives every bag.
 *
 * Always holds: values are rounded once, to 0.01 lx, and are whole hundredths from
 * there on; a field depends on which bags stand where, so it is worked out for an
 * occupancy and kept; a light too weak to matter (under 0.02 lx at best) is left out.
 */

import type { OutputRef, ResolvedBag, ResolvedPlan, Vec3 } from '../plan/resolved.ts';
import { addRay, FACES, type Gathering, gather, type Normals, rowLength } from './gather.ts';
import { type Box, bagBoxes, gridPoints, hull, overlaps, POINTS } from './headspace.ts';
import { buildScene, type Scene, type SceneLamp } from './scene.ts';
import { type Obstacle, type Passed, passRay } from './shadow.ts';
import { rayLight } from './sources.ts';

/** For each zone the index of the bag that stands there, or -1. */
export type Occupancy = readonly number[];

/** What one source at full gives the bags of one zone; all values hundredths of a lux. */
export interface Influence {
  /** Per bag of the zone a row: vector x, y, z (toward the light), scalar, scatter, then the faces of `azimuths`. */
  readonly means: readonly Int32Array[];
  /** Per bag the rows of all its points, one after the other. */
  readonly points: readonly Int32Array[];
  /** Most on any face at any point. */
  readonly peak: number;
}

/** Everything that reaches the bags of one zone. */
export interface ZoneField {
  readonly zone: number;
  readonly bag: number;
  /** By index into `outputs`; undefined where the output gives nothing. */
  readonly outputs: readonly (Influence | undefined)[];
  /** Indices of the outputs that give something, ascending. */
  readonly reach: readonly number[];
  /** By index into the plan's background entries. */
  readonly background: readonly Influence[];
}

/** One output of one controller with everything on it. */
export interface FieldOutput extends OutputRef {
  /** Indices into the plan's lamps. */
  readonly lamps: readonly number[];
  readonly dimmable: boolean;
  /** Sum of the powers the plan gives, W. */
  readonly watts: number;
}

export interface LightField {
  /** Outputs with lamps, by controller then number. */
  readonly outputs: readonly FieldOutput[];
  /** Azimuths of the upright faces looked at, degrees; each even one is followed by its opposite. */
  readonly azimuths: readonly number[];
  /** The field of a zone; undefined when no bag stands there. */
  zone(occupancy: Occupancy, zone: number): ZoneField | undefined;
  /** The zones whose bags change what reaches a zone, itself included, ascending. */
  neighbours(zone: number): readonly number[];
}

/** Column of the face that looks toward `azimuth` (one of the field's azimuths, 0–359). */
export function faceColumn(field: LightField, azimuth: number): number {
  return FACES + field.azimuths.indexOf(azimuth);
}

/** Light below this (lx, at best) is left out of the field. */
const TOO_WEAK = 0.02;

/** Prepares the field of a plan; the work is done zone by zone when asked for. */
export function lightField(plan: ResolvedPlan): LightField {
  const scene = buildScene(plan);
  const outputs = listOutputs(plan);
  const halves = halfAzimuths(plan);
  const normals = halves.map((azimuth) => azimuthNormal(azimuth));
  const context: Context = { plan, scene, outputs, normals, lampField: new Map(), near: new Map() };
  const zones = new Map<string, ZoneField>();
  const beside = new Map<number, readonly number[]>();
  const neighboursOf = (zone: number): readonly number[] => {
    const known = beside.get(zone) ?? neighbours(context, zone);
    beside.set(zone, known);
    return known;
  };
  return {
    neighbours: neighboursOf,
    outputs,
    azimuths: halves.flatMap((azimuth) => [azimuth, azimuth + 180]),
    zone(occupancy, zone) {
      if ((occupancy[zone] ?? -1) < 0) return undefined;
      const key = `${zone}:${occupancyKey(occupancy, neighboursOf(zone))}`;
      const known = zones.get(key);
      if (known !== undefined) return known;
      const made = zoneField(context, occupancy, zone);
      zones.set(key, made);
      return made;
    },
  };
}

interface Context {
  readonly plan: ResolvedPlan;
  readonly scene: Scene;
  readonly outputs: readonly FieldOutput[];
  readonly normals: Normals;
  /** What one lamp gives one zone, by lamp, zone and what stands between. */
  readonly lampField: Map<string, Float64Array[] | undefined>;
  /** For each zone the lamps that may reach it and the zones between. */
  readonly near: Map<number, readonly Near[]>;
}

/** A lamp that may reach a zone, and the zones whose bags may stand in its way. */
interface Near {
  readonly lamp: SceneLamp;
  readonly between: readonly number[];
}

/** The outputs of a plan that carry lamps, by controller then number. */
function listOutputs(plan: ResolvedPlan): FieldOutput[] {
  const found = new Map<number, FieldOutput & { lamps: number[]; watts: number; dimmable: boolean }>();
  plan.lamps.forEach((lamp, index) => {
    const { controller, number } = lamp.output;
    const key = controller * 256 + number;
    const kind = plan.controllers[controller]!.board.outputs[number - 1]?.kind;
    const output = found.get(key) ?? { controller, number, lamps: [], watts: 0, dimmable: kind === 'dim' };
    output.lamps.push(index);
    output.watts += lamp.power ?? 0;
    output.dimmable &&= lamp.dimmable;
    found.set(key, output);
  });
  return [...found.entries()].sort(([a], [b]) => a - b).map(([, output]) => output);
}

/** The azimuths looked at, each in 0–179 standing for itself and its opposite. */
function halfAzimuths(plan: ResolvedPlan): number[] {
  const halves = new Set([0, 45, 90, 135]);
  const look = (azimuth: number): unknown => halves.add(((azimuth % 180) + 180) % 180);
  for (const batch of plan.batches) {
    for (const { stages } of batch.zones) {
      for (const { lean } of stages) {
        if (lean.kind !== 'sides') continue;
        for (const side of lean.sides) look(side);
        if (lean.lampSide !== undefined) look(lean.lampSide);
      }
    }
  }
  return [...halves].sort((a, b) => a - b);
}

/** The unit vector (x, y) toward an azimuth; exact at the four sides. */
export function azimuthNormal(azimuth: number): readonly [number, number] {
  const turned = ((azimuth % 360) + 360) % 360;
  if (turned % 90 === 0)
    return (
      [
        [0, 1],
        [1, 0],
        [0, -1],
        [-1, 0],
      ] as const
    )[turned / 90]!;
  const angle = (turned * Math.PI) / 180;
  return [Math.sin(angle), Math.cos(angle)];
}

const occupancyKey = (occupancy: Occupancy, zones: readonly number[]): string =>
  zones.map((zone) => `${zone}/${occupancy[zone] ?? -1}`).join(' ');

/** The zones whose bags matter to the field of a zone, itself included. */
function neighbours(context: Context, zone: number): number[] {
  const all = new Set([zone]);
  for (const near of nearLamps(context, zone)) for (const other of near.between) all.add(other);
  if (context.plan.background.length > 0) {
    for (const other of besideZone(context, zone)) all.add(other);
  }
  return [...all].sort((a, b) => a - b);
}

/** The zones whose bags background light may pass: those of the shelf, or of the rack when some comes from above. */
function besideZone({ plan, scene }: Context, zone: number): number[] {
  const { shelf } = plan.zones[zone]!;
  const above = plan.background.some(({ from }) => from === 'above');
  const place = (index: number): number => (above ? scene.rackOfShelf[index]! : index);
  return plan.zones.flatMap((other, index) => (place(other.shelf) === place(shelf) ? [index] : []));
}

function nearLamps(context: Context, zone: number): readonly Near[] {
  const known = context.near.get(zone);
  if (known !== undefined) return known;
  const { plan, scene } = context;
  const bounds = scene.zoneBounds[zone]!;
  const rack = scene.rackOfShelf[plan.zones[zone]!.shelf]!;
  const found: Near[] = [];
  for (const lamp of scene.lamps) {
    if (lamp.rack !== rack || !mayReach(scene, lamp, bounds)) continue;
    const both = hull(lamp.bounds, bounds);
    const between = plan.zones.flatMap((other, index) =>
      scene.rackOfShelf[other.shelf] === rack && overlaps(scene.zoneBounds[index]!, both) ? [index] : [],
    );
    found.push({ lamp, between });
  }
  context.near.set(zone, found);
  return found;
}

/** Whether a lamp can give the box 0.02 lx: it faces it, no solid board lies wholly between, it is near enough. */
function mayReach(scene: Scene, lamp: SceneLamp, bounds: Box): boolean {
  if (!faces(lamp, bounds)) return false;
  let squared = 0;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const gap = Math.max(0, bounds.lo[i] - lamp.bounds.hi[i], lamp.bounds.lo[i] - bounds.hi[i]);
    squared += gap * gap;
  }
  let best = lamp.peak / Math.max(squared, 1e-6);
  if (best < TOO_WEAK) return false;
  const both = hull(lamp.bounds, bounds);
  for (const deck of scene.decks) {
    if (deck.rack === lamp.rack && liesBetween(deck, lamp.bounds, bounds, both)) best *= deck.total;
  }
  return best >= TOO_WEAK;
}

/** Whether every ray from one box to the other must cross the board. */
function liesBetween(deck: Box, a: Box, b: Box, both: Box): boolean {
  const level = (deck.lo[2] + deck.hi[2]) / 2;
  const splits = (a.lo[2] > level && b.hi[2] < level) || (b.lo[2] >= level && a.hi[2] < level);
  return (
    splits &&
    both.lo[0] >= deck.lo[0] &&
    both.hi[0] <= deck.hi[0] &&
    both.lo[1] >= deck.lo[1] &&
    both.hi[1] <= deck.hi[1]
  );
}

/** Whether some corner of the box lies before the lamp. */
function faces(lamp: SceneLamp, bounds: Box): boolean {
  let most = 0;
  for (let i = 0 as 0 | 1 | 2; i < 3; i++) {
    const axis = lamp.axis[i];
    most += axis > 0 ? axis * (bounds.hi[i] - lamp.bounds.lo[i]) : axis * (bounds.lo[i] - lamp.bounds.hi[i]);
  }
  return most > 1e-9;
}

function zoneField(context: Context, occupancy: Occupancy, zone: number): ZoneField {
  const bag = occupancy[zone]!;
  const outputOf = new Map(context.outputs.flatMap((output, index) => output.lamps.map((l) => [l, index])));
  const sums: (Float64Array[] | undefined)[] = context.outputs.map(() => undefined);
  for (const near of nearLamps(context, zone)) {
    const rows = lampRows(context, occupancy, zone, near);
    if (rows === undefined) continue;
    const output = outputOf.get(near.lamp.index)!;
    sums[output] = sums[output] === undefined ? rows : addRows(sums[output], rows);
  }
  const length = rowLength(context.normals.length);
  const outputs = sums.map((rows) => (rows === undefined ? undefined : influence(rows, length)));
  return {
    zone,
    bag,
    outputs,
    reach: outputs.flatMap((found, index) => (found === undefined ? [] : [index])),
    background: backgroundOf(context, occupancy, zone),
  };
}

const addRows = (a: readonly Float64Array[], b: readonly Float64Array[]): Float64Array[] =>
  a.map((row, bag) => row.map((value, i) => value + b[bag]![i]!));

/** What one lamp gives each bag of a zone: all points' rows end to end; undefined when nothing. */
function lampRows(context: Context, occupancy: Occupancy, zone: number, near: Near) {
  const key = `${near.lamp.index}:${zone}:${occupancy[zone]}:${occupancyKey(occupancy, near.between)}`;
  if (context.lampField.has(key)) return context.lampField.get(key);
  const rows = traceLamp(context, occupancy, zone, near);
  context.lampField.set(key, rows);
  return rows;
}

function traceLamp(context: Context, occupancy: Occupancy, zone: number, near: Near) {
  const { plan, scene, normals } = context;
  const bag = plan.bags[occupancy[zone]!]!;
  const way = hull(near.lamp.bounds, scene.zoneBounds[zone]!);
  const boards = fixedObstacles(scene, near.lamp.rack, way);
  const others = near.between.filter((other) => other !== zone);
  const rest = [...boards, ...others.flatMap((other) => bagObstacles(context, occupancy, other))];
  const own = ownFilm(bag);
  let any = false;
  const rows = eachBag(context, zone, bag, (box, obstacles) => {
    const inWay = [...rest, ...obstacles].filter((o) => overlaps(o, hull(near.lamp.bounds, box)));
    const what: Gathering = { source: near.lamp.source, obstacles: inWay, own, normals };
    const found = rowsOf(box, normals, (row, point) => gather(row, point, what));
    any ||= found.some((value) => value >= 0.005);
    return found;
  });
  return any ? rows : undefined;
}

/** Boards and screens of the rack that touch the box. */
function fixedObstacles(scene: Scene, rack: number, way: Box): Obstacle[] {
  return [...scene.decks, ...scene.screens].filter((o) => o.rack === rack && overlaps(o, way));
}

/** Runs `look` for each bag of the zone with its headspace and what its own zone puts in the way. */
function eachBag(
  { plan }: Context,
  zone: number,
  bag: ResolvedBag,
  look: (headspace: Box, obstacles: Obstacle[]) => Float64Array,
): Float64Array[] {
  const { places, shelf } = plan.zones[zone]!;
  const boxes = places.map((place) => bagBoxes(bag, place, plan.shelves[shelf]!.height / 1000));
  const blocks: Obstacle[] = boxes.map(({ block }) => ({ ...block, direct: 0, total: 0 }));
  const films = boxes.map(({ headspace }) => ({ ...headspace, ...otherFilm(bag) }));
  return boxes.map(({ headspace }, index) =>
    look(headspace, [...blocks, ...films.filter((_, other) => other !== index)]),
  );
}

/** Blocks and headspaces of the bags of another zone. */
function bagObstacles({ plan }: Context, occupancy: Occupancy, zone: number): Obstacle[] {
  const bag = plan.bags[occupancy[zone] ?? -1];
  if (bag === undefined) return [];
  const { places, shelf } = plan.zones[zone]!;
  return places.flatMap((place) => {
    const { block, headspace } = bagBoxes(bag, place, plan.shelves[shelf]!.height / 1000);
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

function influence(rows: readonly Float64Array[], length: number): Influence {
  const points = rows.map((values) => Int32Array.from(values, hundredths));
  let peak = 0;
  for (const values of points) {
    for (let i = 0; i < values.length; i++) if (i % length >= FACES && values[i]! > peak) peak = values[i]!;
  }
  return { points, peak, means: rows.map((values) => meanRow(values, length)) };
}

const hundredths = (value: number): number => Math.round(value * 100);

function meanRow(values: Float64Array, length: number): Int32Array {
  const mean = new Int32Array(length);
  for (let column = 0; column < length; column++) {
    let sum = 0;
    for (let i = column; i < values.length; i += length) sum += values[i]!;
    mean[column] = hundredths(sum / POINTS);
  }
  return mean;
}

/** Far enough away to lie outside any rack, metres. */
const FAR = 50;

/** Background light comes as parallel rays from its side, level with the bags, or straight from above. */
function backgroundOf(context: Context, occupancy: Occupancy, zone: number): Influence[] {
  const { plan, scene, normals } = context;
  const bag = plan.bags[occupancy[zone]!]!;
  const length = rowLength(normals.length);
  const rack = scene.rackOfShelf[plan.zones[zone]!.shelf]!;
  return plan.background.map((light) => {
    const [x, y] = light.from === 'above' ? [0, 0] : azimuthNormal(light.from);
    const ray = rayLight(x, y, light.from === 'above' ? 1 : 0, light.level);
    const others = besideZone(context, zone).filter((other) => other !== zone);
    const rest = [
      ...[...scene.decks, ...scene.screens].filter((o) => o.rack === rack),
      ...others.flatMap((other) => bagObstacles(context, occupancy, other)),
    ];
    const rows = eachBag(context, zone, bag, (box, obstacles) => {
      const inWay = [...rest, ...obstacles];
      return rowsOf(box, normals, (row, p) => {
        const far: Vec3 = [p[0] + FAR * x, p[1] + FAR * y, p[2] + (light.from === 'above' ? FAR : 0)];
        addRay(row, ray, passRay(p, far, inWay, ownFilm(bag)), normals);
      });
    });
    return influence(rows, length);
  });
}
