/**
 * The light field: what each output at full, and each background, gives every bag.
 *
 * Always holds: values are rounded once, to 0.01 lx, and are whole hundredths from
 * there on; a field depends on which bags stand where, so it is worked out for an
 * occupancy and kept; a light too weak to matter (under 0.02 lx at best) is left out.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { OutputRef, ResolvedPlan } from '../plan/plan.ts';
import { Likeness } from './alike.ts';
import { type Bending, bendingOfLamps, widest } from './bending.ts';
import { USUAL_FILM } from './film.ts';
import { hull, overlaps } from './headspace.ts';
import { type BagLight, type BagTrace, type Influence, type KnownLight, nothingKnown } from './known.ts';
import type { FieldOptions } from './options.ts';
import { mayReach } from './reach.ts';
import { surfacesOf } from './reflect.ts';
import { AXES, FACES, meanLength, POINT_LENGTH, planesOf, rowLevelAt } from './row.ts';
import { buildScene } from './scene.ts';
import {
  azimuthNormal,
  besideZone,
  type Near,
  type Occupancy,
  type Rack,
  traceBackground,
  traceLamp,
} from './trace.ts';

export type { Influence } from './known.ts';
export type { Occupancy } from './trace.ts';

/** Everything that reaches the bags of one zone. */
export interface ZoneField {
  readonly zone: number;
  readonly bag: number;
  /** Names of the places where its bags stand, in the order of the rows. */
  readonly places: readonly string[];
  /** Number of bags, and length of a row. */
  readonly bags: number;
  readonly columns: number;
  /** By index into `outputs`; undefined where the output gives nothing. */
  readonly outputs: readonly (Influence | undefined)[];
  /** Indices of the outputs that give something, ascending. */
  readonly reach: readonly number[];
  /** The same by the eye: another list than `outputs` only where a lamp's colour makes it differ from what bends. */
  readonly byEye: readonly (Influence | undefined)[];
  /** By what factors what bends may be less or more than `outputs` say, for the lamps' colours. */
  readonly colourRange: Bending['range'];
  /** The greatest level each lamp (index into the plan's) gives at any point by itself; none where nothing of it comes. */
  readonly lampPeaks: ReadonlyMap<number, number>;
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
  /** What was traced, for this plan and others that share it. */
  readonly known: KnownLight;
  /** Outputs with lamps, by controller then number. */
  readonly outputs: readonly FieldOutput[];
  /** What a lux of each lamp bends, by index into the plan's lamps. */
  readonly bending: readonly Bending[];
  /** Azimuths of the upright faces looked at, degrees; each is followed by its opposite; the first eight are always the same. */
  readonly azimuths: readonly number[];
  /** The field of a zone; undefined when no bag stands there. */
  zone(occupancy: Occupancy, zone: number): ZoneField | undefined;
  /** What one lamp (index into the plan's) gives a zone by itself; undefined where nothing of it comes. */
  lamp(occupancy: Occupancy, zone: number, lamp: number): Influence | undefined;
  /** The zones whose bags change what reaches a zone, itself included, ascending. */
  neighbours(zone: number): readonly number[];
}

/** Column of the face that looks toward `azimuth` (one of the field's azimuths, 0–359). */
export function faceColumn(field: LightField, azimuth: number): number {
  return FACES + field.azimuths.indexOf(azimuth);
}

/** Prepares the field of a plan; the work is done zone by zone when asked for, and what is known is not done again. */
export function lightField(plan: ResolvedPlan, options: FieldOptions = {}): LightField {
  const known = options.known ?? nothingKnown();
  const scene = buildScene(plan, options);
  const outputs = listOutputs(plan);
  const halves = halfAzimuths(plan);
  const planes = planesOf(halves.map((azimuth) => azimuthNormal(azimuth)));
  const rack: Rack = { plan, scene, film: options.film ?? USUAL_FILM, thrown: {}, planes };
  const context: Context = {
    ...rack,
    outputs,
    bending: bendingOfLamps(plan.lamps, options),
    outputOf: new Map(outputs.flatMap((output, index) => output.lamps.map((lamp) => [lamp, index]))),
    near: new Map(),
    likeness: new Likeness(rack, known.numbered),
    known,
  };
  const zones = new Map<string, ZoneField>();
  const beside = new Map<number, readonly number[]>();
  const neighboursOf = (zone: number): readonly number[] => {
    const known = beside.get(zone) ?? neighbours(context, zone);
    beside.set(zone, known);
    return known;
  };
  return {
    known,
    neighbours: neighboursOf,
    lamp(occupancy, zone, lamp) {
      const near = nearLamps(context, zone).find((one) => one.lamp.index === lamp);
      if (!near) return undefined;
      return together(context, occupancy, zone, [lampAt(context, occupancy, zone, near)], 'bending');
    },
    outputs,
    bending: context.bending,
    azimuths: halves.flatMap((azimuth) => [azimuth, azimuth + 180]),
    zone(occupancy, zone) {
      if (itemAt(occupancy, zone) < 0) return undefined;
      const key = `${zone}:${occupancyKey(occupancy, neighboursOf(zone))}`;
      const known = zones.get(key);
      if (known !== undefined) return known;
      const made = zoneField(context, occupancy, zone);
      zones.set(key, made);
      return made;
    },
  };
}

interface Context extends Rack {
  readonly outputs: readonly FieldOutput[];
  readonly bending: readonly Bending[];
  /** The output (index into `outputs`) of each lamp (index into the plan's). */
  readonly outputOf: ReadonlyMap<number, number>;
  /** For each zone the lamps that may reach it and the zones between. */
  readonly near: Map<number, readonly Near[]>;
  readonly likeness: Likeness;
  readonly known: KnownLight;
}

/** The outputs of a plan that carry lamps, by controller then number. */
function listOutputs(plan: ResolvedPlan): FieldOutput[] {
  const found = new Map<number, FieldOutput & { lamps: number[]; watts: number; dimmable: boolean }>();
  plan.lamps.forEach((lamp, index) => {
    const { controller, number } = lamp.output;
    const key = controller * 256 + number;
    const kind = itemAt(plan.controllers, controller).board.outputs[number - 1]?.kind;
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
  const halves = new Set(STEADY);
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
  return [...STEADY, ...[...halves].filter((azimuth) => !STEADY.includes(azimuth)).sort((a, b) => a - b)];
}

/** Azimuths every field looks at, whatever is asked for. */
const STEADY: readonly number[] = [0, 45, 90, 135];

const occupancyKey = (occupancy: Occupancy, zones: readonly number[]): string =>
  zones.map((zone) => `${zone}/${itemAt(occupancy, zone)}`).join(' ');

/** The zones whose bags matter to the field of a zone, itself included. */
function neighbours(context: Context, zone: number): number[] {
  const all = new Set([zone]);
  for (const near of nearLamps(context, zone)) for (const other of near.between) all.add(other);
  if (context.plan.background.length > 0) {
    for (const other of besideZone(context, zone)) all.add(other);
  }
  return [...all].sort((a, b) => a - b);
}

function nearLamps(context: Context, zone: number): readonly Near[] {
  const known = context.near.get(zone);
  if (known !== undefined) return known;
  const { plan, scene } = context;
  const bounds = itemAt(scene.zoneBounds, zone);
  const rack = itemAt(scene.rackOfShelf, itemAt(plan.zones, zone).shelf);
  const { shelf } = itemAt(plan.zones, zone);
  const pale = surfacesOf(itemAt(plan.shelves, shelf)).length > 0;
  const found: Near[] = [];
  for (const lamp of scene.lamps) {
    // What a shelf's surfaces throw back comes from any of its lamps and passes all its bags.
    const thrown = pale && lamp.lamp.shelf === shelf;
    if (lamp.rack !== rack || !(thrown || mayReach(scene, lamp, bounds))) continue;
    const both = hull(lamp.bounds, bounds);
    const between = plan.zones.flatMap((other, index) => {
      const inWay =
        (itemAt(scene.rackOfShelf, other.shelf) === rack &&
          overlaps(itemAt(scene.zoneBounds, index), both)) ||
        (thrown && other.shelf === shelf);
      return inWay ? [index] : [];
    });
    found.push({ lamp, between });
  }
  context.near.set(zone, found);
  return found;
}

function zoneField(context: Context, occupancy: Occupancy, zone: number): ZoneField {
  const shining = context.outputs.map((): Lamp[] => []);
  const lampPeaks = new Map<number, number>();
  const bending: Bending[] = [];
  for (const near of nearLamps(context, zone)) {
    const lamp = lampAt(context, occupancy, zone, near);
    const alone = together(context, occupancy, zone, [lamp], 'bending');
    if (alone === undefined) continue;
    bending.push(itemAt(context.bending, near.lamp.index));
    lampPeaks.set(near.lamp.index, alone.peak);
    itemAt(shining, sure(context.outputOf.get(near.lamp.index))).push(lamp);
  }
  const outputs = shining.map((lamps) => together(context, occupancy, zone, lamps, 'bending'));
  const coloured = bending.some(({ share }) => share !== 1);
  const { places } = itemAt(context.plan.zones, zone);
  return {
    zone,
    bag: itemAt(occupancy, zone),
    places: places.map(({ name }) => name),
    bags: places.length,
    columns: meanLength(context.planes.length - AXES.length),
    outputs,
    reach: outputs.flatMap((found, index) => (found === undefined ? [] : [index])),
    byEye: coloured ? shining.map((lamps) => together(context, occupancy, zone, lamps, 'eye')) : outputs,
    colourRange: widest(bending.map(({ range }) => range)),
    lampPeaks,
    background: background(context, occupancy, zone),
  };
}

/** A lamp near a zone, and what its light there depends on: by the lumen, and in all. */
interface Lamp {
  readonly near: Near;
  readonly traced: string;
  readonly key: string;
}

function lampAt({ likeness }: Context, occupancy: Occupancy, zone: number, near: Near): Lamp {
  const traced = likeness.ofLamp(occupancy, zone, near);
  return { near, traced, key: `${traced}@${near.lamp.lamp.flux}` };
}

/** What some lamps that burn together give a zone, as light bends or by the eye; undefined when nothing. */
function together(
  context: Context,
  occupancy: Occupancy,
  zone: number,
  lamps: readonly Lamp[],
  how: 'bending' | 'eye',
): Influence | undefined {
  if (lamps.length === 0) return undefined;
  const { influences } = context.known;
  const bendingOf = ({ near }: Lamp): Bending => itemAt(context.bending, near.lamp.index);
  const shareOf = (lamp: Lamp): number => (how === 'eye' ? 1 : bendingOf(lamp).share);
  const key = lamps
    .map((lamp) =>
      shareOf(lamp) === 1 ? lamp.key : `${lamp.key}*${shareOf(lamp)} ${bendingOf(lamp).range.join()}`,
    )
    .join('+');
  if (influences.has(key)) return influences.get(key);
  const rows = lamps.flatMap((lamp) => {
    const found = lampRows(context, occupancy, zone, lamp);
    if (found === undefined) return [];
    const share = shareOf(lamp);
    return [share === 1 ? found : found.map((bag) => scaled(bag, share))];
  });
  const made = rows.length === 0 ? undefined : influence(rows.reduce(addLights));
  influences.set(key, made);
  return made;
}

/** What one lamp gives each bag of a zone; undefined when nothing. */
function lampRows(
  context: Context,
  occupancy: Occupancy,
  zone: number,
  { near, traced }: Lamp,
): readonly BagLight[] | undefined {
  const { traces } = context.known;
  const byLumen = traces.get(traced) ?? traceLamp(context, occupancy, zone, near);
  const output = itemAt(context.outputs, sure(context.outputOf.get(near.lamp.index)));
  if (output.lamps.length > 1 || itemAt(context.bending, near.lamp.index).share !== 1)
    traces.set(traced, byLumen);
  const made = byLumen.map((bag) => scaled(bag, near.lamp.lamp.flux));
  return made.some(({ means }) => someLight(means)) ? made : undefined;
}

/** Whether any value would round to a hundredth. */
const someLight = (values: Float64Array): boolean => values.some((value) => Math.abs(value) >= 0.005);

function background(context: Context, occupancy: Occupancy, zone: number): readonly Influence[] {
  if (context.plan.background.length === 0) return [];
  const { backgrounds } = context.known;
  const key = context.likeness.ofBackground(occupancy, zone);
  const made =
    backgrounds.get(key) ??
    traceBackground(context, occupancy, zone).map((bags) => influence(bags.map((bag) => scaled(bag, 1))));
  backgrounds.set(key, made);
  return made;
}

function scaled({ means, points }: BagTrace | BagLight, by: number): BagLight {
  const more = new Float32Array(points.length);
  for (let i = 0; i < more.length; i++) more[i] = (points[i] ?? 0) * by;
  return { means: means.map((value) => value * by), points: more };
}

const addLights = (a: readonly BagLight[], b: readonly BagLight[]): readonly BagLight[] =>
  a.map(({ means, points }, bag) => {
    const more = itemAt(b, bag);
    return {
      means: means.map((value, i) => value + (more.means[i] ?? 0)),
      points: points.map((value, i) => value + (more.points[i] ?? 0)),
    };
  });

function influence(bags: readonly BagLight[]): Influence {
  const points = bags.map((bag) => inHundredths(bag.points));
  const peaks = points.map((of) => {
    let peak = 0;
    for (let at = 0; at < of.length; at += POINT_LENGTH) peak = Math.max(peak, rowLevelAt(of, at));
    return peak;
  });
  return {
    points,
    peak: Math.round(Math.max(...peaks)),
    means: bags.map(({ means }) => inHundredths(means)),
  };
}

function inHundredths(values: Float32Array | Float64Array): Int32Array {
  const whole = new Int32Array(values.length);
  for (let i = 0; i < values.length; i++) whole[i] = Math.round((values[i] ?? 0) * 100);
  return whole;
}
