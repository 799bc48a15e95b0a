/**
 * The figures of one zone under what is burnt in one cell, as they are printed.
 *
 * Always holds: angles are degrees, light is lux; a zone's figure is that of its worst
 * bag among those that are reached (of all, where none is); levels count only while the
 * zone is lit; figures are of the light summed over the cell.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { Influence, ZoneField } from '../light/field.ts';
import { POINTS } from '../light/headspace.ts';
import { POINT_LENGTH, rowLevelAt, SCALAR } from '../light/row.ts';
import { addTo, FULL } from '../solve/patterns.ts';
import { type Ask, angleOff, imbalance, isUnlit, OTHER_SIDE, ratio } from '../solve/score.ts';
import { type Heights, heightsOf, worstHeights } from './heights.ts';

/** Levels (0–16) of some outputs (indices into the field's) for some minutes. */
export interface Burning {
  readonly minutes: number;
  readonly levels: readonly (readonly [output: number, level: number])[];
}

export interface Figures {
  /** Indices of the bags that are not reached: under the floor all the time, or pulled to another side than the one asked for. */
  readonly missed: readonly number[];
  /** Each bag's own figures. */
  readonly bags: readonly BagFigures[];
  /** Degrees between pull and side, worst bag; undefined for upright and dark. */
  readonly direction: number | undefined;
  /** Index of the bag with that direction. */
  readonly directionBag: number;
  /** Face toward the side over the opposite one, worst bag; undefined for upright and dark. */
  readonly contrast: number | undefined;
  readonly contrastBag: number;
  /** Greatest ratio of opposite faces, worst bag. */
  readonly imbalance: number;
  readonly imbalanceBag: number;
  /** Level on the strongest side while lit: least point, mean of the dimmest and of the brightest bag, greatest point. */
  readonly level: { readonly min: number; readonly low: number; readonly high: number; readonly max: number };
  /** The greatest mean level of a bag by the eye, lx: another than `level.high` only under coloured lamps. */
  readonly brightestByEye: number;
  readonly dimmestBag: number;
  readonly brightestBag: number;
  /** Minutes in which the bags that are reached are lit; 0 where none is. */
  readonly litMinutes: number;
  /** Level times minutes, mean over the bags. */
  readonly luxMinutes: number;
  /** Magnitude of the illumination vector over the scalar illuminance, mean over the bags. */
  readonly vectorScalar: number;
  /** Height of the pull above the level, degrees, of the bag where it is steepest. */
  readonly elevation: number;
  /** The light at three heights while lit, worst bag. */
  readonly heights: Heights;
  /** Horizontal pull, mean over the bags: x, y of the illumination vector, lx. */
  readonly pull: readonly [number, number];
  /** Ratio of the face nearest to the pull to the opposite one, worst bag. */
  readonly pullContrast: number;
}

/** Works out a zone's figures; `background` are the entries that are on. */
export function zoneFigures(
  zone: ZoneField,
  ask: Ask,
  burning: readonly Burning[],
  background: readonly number[],
): Figures {
  const all = Array.from({ length: zone.bags }, (_, bag) => bagFigures(zone, bag, ask, burning, background));
  return gatherBags(all);
}

/** Figures already worked out, by all that they depend on: zones that get the same have the same. */
export class KnownFigures {
  private readonly ids = new Map<Influence, number>();
  private readonly figures = new Map<string, Figures>();

  of(zone: ZoneField, ask: Ask, burning: readonly Burning[], background: readonly number[]): Figures {
    const parts = burning.map(({ minutes, levels }) => {
      const lamps = levels.flatMap(([output, level]) => {
        const influence = zone.outputs[output];
        return influence === undefined ? [] : [`${this.idOf(influence)}*${level}`];
      });
      return `${minutes}:${lamps.join()}`;
    });
    const room = background.map((index) => this.idOf(itemAt(zone.background, index)));
    // By the eye the same lamps give the same as well.
    const coloured = zone.byEye === zone.outputs ? '' : 'coloured';
    const key = `${zone.bags} ${zone.columns} ${coloured} ${JSON.stringify(ask)} ${parts.join(';')} ${room.join()}`;
    const known = this.figures.get(key) ?? zoneFigures(zone, ask, burning, background);
    this.figures.set(key, known);
    return known;
  }

  private idOf(influence: Influence): number {
    const id = this.ids.get(influence) ?? this.ids.size;
    this.ids.set(influence, id);
    return id;
  }
}

/** One bag's own figures, in the units of the whole. */
export interface BagFigures {
  /** Whether some light lifts it over the floor and pulls nearer to the side asked for than to another. */
  readonly reached: boolean;
  readonly direction: number | undefined;
  readonly contrast: number | undefined;
  readonly imbalance: number;
  readonly min: number;
  readonly mean: number;
  /** The mean by the eye, lx. */
  readonly byEye: number;
  readonly max: number;
  readonly litMinutes: number;
  readonly luxMinutes: number;
  readonly vectorScalar: number;
  readonly elevation: number;
  readonly heights: Heights;
  readonly pull: readonly [number, number];
  readonly pullContrast: number;
}

function bagFigures(
  zone: ZoneField,
  bag: number,
  ask: Ask,
  burning: readonly Burning[],
  background: readonly number[],
): BagFigures {
  const looks = burning.map((part) => lookAt(zone, bag, part, background));
  const minutes = burning.reduce((sum, part) => sum + part.minutes, 0);
  const columns = itemAt(looks, 0).mean.length;
  const row = new Float64Array(columns);
  looks.forEach((look, n) => {
    for (let i = 0; i < columns; i++)
      row[i] = itemAt(row, i) + itemAt(burning, n).minutes * itemAt(look.mean, i);
  });
  const side = ask.kind === 'lit' ? ask.side : undefined;
  const low = ask.kind === 'lit' ? ask.low : 0;
  const all = looks.map((look, n) => ({
    ...look,
    part: itemAt(burning, n),
    minutes: itemAt(burning, n).minutes,
  }));
  const room = lookAt(zone, bag, { minutes, levels: [] }, background).level * 100;
  const lit = all.filter((look) => ask.kind === 'dark' || !isUnlit(look.level * 100, low, room));
  const litMinutes = lit.reduce((sum, look) => sum + look.minutes, 0);
  const luxMinutes = all.reduce((sum, look) => sum + look.minutes * look.level, 0);
  // A zone that is never lit shows the little it gets.
  const shown = lit.length > 0 ? lit : all;
  const shownMinutes = shown.reduce((sum, look) => sum + look.minutes, 0);
  const [x, y, z] = [itemAt(row, 0), itemAt(row, 1), itemAt(row, 2)];
  const vector = Math.sqrt(x * x + y * y + z * z);
  const angle = side && angleOff(row, 0, side);
  return {
    reached: lit.length > 0 && (angle ?? 0) <= OTHER_SIDE,
    direction: angle === undefined ? undefined : angle / 100,
    contrast: side && ratio(itemAt(row, side.face), itemAt(row, side.opposite)) / 100,
    imbalance: imbalance(row, 0) / 100,
    min: Math.min(...shown.map((look) => look.min)),
    mean: shown.reduce((sum, look) => sum + look.minutes * look.level, 0) / shownMinutes,
    byEye: levelByEye(zone, bag, shown, background),
    max: Math.max(...shown.map((look) => look.max)),
    litMinutes,
    luxMinutes,
    vectorScalar: itemAt(row, SCALAR) > 0 ? vector / itemAt(row, SCALAR) : 0,
    elevation: vector > 0 ? (Math.asin(z / vector) * 180) / Math.PI : 0,
    heights: worstHeights(shown.map((look) => look.heights)),
    pull: [x / minutes / FULL / 100, y / minutes / FULL / 100],
    pullContrast: side
      ? Math.max(1, ratio(itemAt(row, side.face), itemAt(row, side.opposite)) / 100)
      : imbalance(row, 0) / 100,
  };
}

/** Mean level by the eye while a bag is lit. */
function levelByEye(
  zone: ZoneField,
  bag: number,
  shown: readonly { readonly part: Burning; readonly minutes: number; readonly level: number }[],
  background: readonly number[],
): number {
  const { byEye, outputs } = zone;
  const minutes = shown.reduce((sum, one) => sum + one.minutes, 0);
  const level = ({ level: bending, part }: (typeof shown)[number]): number =>
    byEye === outputs ? bending : lookAt({ ...zone, outputs: byEye }, bag, part, background).level;
  return shown.reduce((sum, one) => sum + one.minutes * level(one), 0) / minutes;
}

/** The summed row of means and the levels (lx) of one bag under one part; `levels` as `gridPoints` has its points. */
export function lookAt(zone: ZoneField, bag: number, part: Burning, background: readonly number[]) {
  const sources = [
    ...part.levels.map(([output, level]) => ({ from: zone.outputs[output], level })),
    ...background.map((index) => ({ from: zone.background[index], level: FULL })),
  ].filter(({ from, level }) => from !== undefined && level > 0);
  const { columns } = zone;
  const mean = new Float64Array(columns);
  const points = new Float64Array(POINT_LENGTH * POINTS);
  for (const { from, level } of sources) {
    addTo(mean, 0, itemAt(sure(from).means, bag), level);
    addTo(points, 0, itemAt(sure(from).points, bag), level);
  }
  const levels: number[] = [];
  for (let at = 0; at < points.length; at += POINT_LENGTH) levels.push(rowLevelAt(points, at) / FULL / 100);
  const level = levels.reduce((sum, one) => sum + one, 0) / POINTS;
  const heights = heightsOf(points, FULL * 100);
  return { mean, level, levels, min: Math.min(...levels), max: Math.max(...levels), heights };
}

function gatherBags(all: readonly BagFigures[]): Figures {
  const reached = all.flatMap((one, bag) => (one.reached ? [bag] : []));
  const counted = reached.length > 0 ? reached : all.map((_, bag) => bag);
  const of = (bag: number): BagFigures => itemAt(all, bag);
  const worst = (measure: (one: BagFigures) => number): number =>
    counted.reduce((at, bag) => (measure(of(bag)) > measure(of(at)) ? bag : at), itemAt(counted, 0));
  const mean = (measure: (one: BagFigures) => number): number =>
    all.reduce((sum, one) => sum + measure(one), 0) / all.length;
  const directionBag = worst((one) => one.direction ?? 0);
  const contrastBag = worst((one) => -(one.contrast ?? 0));
  const imbalanceBag = worst((one) => one.imbalance);
  const dimmestBag = worst((one) => -one.mean);
  const brightestBag = worst((one) => one.mean);
  return {
    missed: all.flatMap((one, bag) => (one.reached ? [] : [bag])),
    bags: all,
    direction: itemAt(all, directionBag).direction,
    directionBag,
    contrast: itemAt(all, contrastBag).contrast,
    contrastBag,
    imbalance: itemAt(all, imbalanceBag).imbalance,
    imbalanceBag,
    level: {
      min: Math.min(...counted.map((bag) => of(bag).min)),
      low: itemAt(all, dimmestBag).mean,
      high: itemAt(all, brightestBag).mean,
      max: Math.max(...counted.map((bag) => of(bag).max)),
    },
    brightestByEye: Math.max(...counted.map((bag) => of(bag).byEye)),
    dimmestBag,
    brightestBag,
    litMinutes: reached.length === 0 ? 0 : Math.min(...reached.map((bag) => of(bag).litMinutes)),
    luxMinutes: mean((one) => one.luxMinutes),
    vectorScalar: mean((one) => one.vectorScalar),
    elevation: itemAt(
      all,
      worst((one) => Math.abs(one.elevation)),
    ).elevation,
    heights: worstHeights(all.map((one) => one.heights)),
    pull: [mean((one) => one.pull[0]), mean((one) => one.pull[1])],
    pullContrast: Math.min(...all.map((one) => one.pullContrast)),
  };
}
