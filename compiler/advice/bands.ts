/**
 * How far the figures of a treatment may lie from those worked out, for what is not known
 * exactly: each lamp's flux and colour, the film, how it scatters, the block's density.
 *
 * Film is turned into another by taking the bag's own film off the summed row and putting
 * the other on; light that came through other bags is taken along so, which is near enough
 * for a band. A denser block stands lower: the light at three heights tells what that
 * changes.
 *
 * Always holds: a range holds the figure itself; ranges of several causes multiply.
 */

import { itemAt, numberAt, sure } from '../../shared/assert.ts';
import { type FilmModel, FORWARD, type Left, ownFilm, RETURNS, USUAL_FILM } from '../light/film.ts';
import { FACES, SCALAR, SCATTER, STEADY_FACES, VECTOR } from '../light/row.ts';
import { azimuthNormal } from '../light/trace.ts';
import { blockHeight } from '../plan/block-height.ts';
import type { ResolvedBag, ResolvedPlan } from '../plan/plan.ts';
import { FULL } from '../solve/patterns.ts';
import { ANGLE_MOST, angleOff, BALANCE_MOST, imbalance, ratio } from '../solve/score.ts';
import type { Heights } from '../steer/heights.ts';
import type { Treatment } from '../steer/treatment.ts';
import { faultsOf } from './fault.ts';

/** From and to. */
export type Ends = readonly [low: number, high: number];

/** A lamp gives at least 90 % of the flux on its label (IEC 62612, from memory); the same above is assumed. */
export const FLUX_LABEL: Ends = [0.9, 1.1];
/** Film from wet to dry: published for low-density polyethylene; taken where the plan leaves the film open. */
const FILM_STATES = [
  { passes: 0.67, scatters: 0.78 },
  { passes: 0.9, scatters: 0.5 },
] as const;
/**
 * Scattered light leaves a narrow bag at its sides, which is not followed: single photons traced through
 * a wet bag 200 mm deep and 120 mm wide (own, in the tests) give this share of the level worked out.
 */
export const NARROW = 0.7;
/** Density of a wet block where the plan leaves it open, kg/L (assumed). */
const DENSITIES: Ends = [0.55, 0.8];
/** What is written in the plan was measured to so much (assumed). */
const MEASURED: Ends = [0.95, 1.05];

/** What may be missed though the figures meet it. */
export type MayMiss = 'level' | 'side' | 'contrast' | 'evenness';

export interface Bands {
  /** Mean level of the dimmest and of the brightest bag, lx. */
  readonly level: Ends;
  /** Degrees off the side; undefined for upright. */
  readonly off: Ends | undefined;
  readonly contrast: Ends | undefined;
  readonly balance: Ends;
  readonly mayMiss: readonly MayMiss[];
}

/** Ranges already worked out, by the bags' own figures (which equal light shares) and the kind of bag. */
const known = new WeakMap<Treatment['figures']['bags'], Map<ResolvedBag, Bands>>();

/** The ranges of a lit treatment; undefined in the dark. */
export function bandsOf(plan: ResolvedPlan, treatment: Treatment): Bands | undefined {
  if (treatment.ask.kind === 'dark') return undefined;
  const { bags } = treatment.figures;
  const kind = itemAt(plan.bags, treatment.zoneField.bag);
  const byKind = known.get(bags) ?? new Map<ResolvedBag, Bands>();
  known.set(bags, byKind);
  const found = byKind.get(kind) ?? rangesOf(plan, treatment);
  byKind.set(kind, found);
  return found;
}

function rangesOf(plan: ResolvedPlan, treatment: Treatment): Bands {
  const { figures } = treatment;
  const kind = itemAt(plan.bags, treatment.zoneField.bag);
  const films = filmsOf(plan, kind);
  const dense = densityFactors(plan, kind, figures.heights);
  const own = figures.bags.flatMap((bag, n) =>
    bag.reached ? bagBands(kind, films, dense, treatment, n) : [],
  );
  const gather = (pick: (one: BagBand) => Ends | undefined): Ends | undefined => {
    const all = own.flatMap((one) => [pick(one) ?? []].flat());
    return all.length === 0 ? undefined : [Math.min(...all), Math.max(...all)];
  };
  const bands = {
    level: gather(({ level }) => level) ?? [figures.level.low, figures.level.high],
    off: gather(({ off }) => off),
    contrast: gather(({ contrast }) => contrast),
    balance: gather(({ balance }) => balance) ?? [figures.imbalance, figures.imbalance],
  } as const;
  return { ...bands, mayMiss: missesOf(treatment, bands) };
}

function missesOf(treatment: Treatment, bands: Omit<Bands, 'mayMiss'>): MayMiss[] {
  const { ask } = treatment;
  if (ask.kind === 'dark') return [];
  const faults = new Set(faultsOf(treatment).map(({ kind }) => kind));
  const misses: MayMiss[] = [];
  const { level, off, contrast, balance } = bands;
  const outside = level[0] * 100 < ask.low || level[1] * 100 > ask.high;
  if (!faults.has('level') && !faults.has('unlit') && outside) misses.push('level');
  if (off && contrast && !faults.has('lean')) {
    if (off[1] * 100 > ANGLE_MOST) misses.push('side');
    if (contrast[0] * 100 < ask.contrast) misses.push('contrast');
  }
  // Where no bag is reached nothing is met that could be missed.
  const isReached = treatment.figures.missed.length < treatment.figures.bags.length;
  const isUpright = ask.side === undefined && isReached && !faults.has('upright');
  if (isUpright && balance[1] * 100 > BALANCE_MOST) misses.push('evenness');
  return misses;
}

type BagBand = Omit<Bands, 'mayMiss'>;

function bagBands(
  kind: ResolvedBag,
  films: readonly Left[],
  dense: Ends,
  treatment: Treatment,
  bag: number,
): BagBand {
  const { ask, figures, zoneField } = treatment;
  const rows = rowsOf(treatment, bag);
  const side = ask.kind === 'lit' ? ask.side : undefined;
  const base = ownFilm(kind.film, USUAL_FILM);
  const [offs, contrasts, balances, factors]: number[][] = [[], [], [], [1]];
  const { mean } = itemAt(figures.bags, bag);
  const even = itemAt(sumOf(rows, 1), SCATTER) / lastingOf(treatment) / 100;
  sure(factors).push(...films.flatMap((film) => levelFactors(Math.min(1, even / mean), base, film)));
  const faces = facesFor(side);
  const all = [base, ...films];
  for (const row of labelled(rows)) {
    const bare = unfilmed(row, base, faces);
    for (const film of all) {
      refilm(bare, film, faces, row);
      if (side) {
        sure(offs).push(angleOff(row, 0, side) / 100);
        sure(contrasts).push(ratio(itemAt(row, side.face), itemAt(row, side.opposite)) / 100);
      }
      sure(balances).push(imbalance(row, 0) / 100);
    }
  }
  const span = (values: readonly number[] | undefined): Ends => [
    Math.min(...sure(values)),
    Math.max(...sure(values)),
  ];
  const [filmLow, filmHigh] = span(factors);
  const narrow = 1 - (1 - NARROW) * kind.film.scatters;
  const [colourLow, colourHigh] = zoneField.colourRange;
  return {
    level: [
      mean * FLUX_LABEL[0] * filmLow * dense[0] * colourLow * narrow,
      mean * FLUX_LABEL[1] * filmHigh * dense[1] * colourHigh,
    ],
    off: side && span(offs),
    contrast: side && span(contrasts),
    balance: span(balances),
  };
}

/** The summed row of each output that burns and of each background entry. */
function rowsOf({ zoneField, burning, background }: Treatment, bag: number): Float64Array[] {
  const rows = new Map<string, Float64Array>();
  const add = (key: string, means: Int32Array, share: number): void => {
    const row = rows.get(key) ?? new Float64Array(means.length);
    means.forEach((value, i) => {
      row[i] = itemAt(row, i) + share * value;
    });
    rows.set(key, row);
  };
  for (const { minutes, levels } of burning) {
    for (const [output, level] of levels) {
      const means = zoneField.outputs[output]?.means[bag];
      if (means) add(`${output}`, means, (minutes * level) / FULL);
    }
    for (const entry of background) {
      add(`room ${entry}`, itemAt(itemAt(zoneField.background, entry).means, bag), minutes);
    }
  }
  return [...rows.values()];
}

function sumOf(rows: readonly Float64Array[], share: number | readonly number[]): Float64Array {
  const sum = new Float64Array(rows[0]?.length ?? 0);
  rows.forEach((row, n) => {
    const part = typeof share === 'number' ? share : itemAt(share, n);
    for (let i = 0; i < sum.length; i++) sum[i] = itemAt(sum, i) + part * itemAt(row, i);
  });
  return sum;
}

/** Sources of which every combination of labels is looked at; of more, each by itself. */
const TOGETHER = 5;

/** The sums with every source at the low or the high end of its label. */
function labelled(rows: readonly Float64Array[]): Float64Array[] {
  if (rows.length <= 1) return [sumOf(rows, 1)];
  const many = rows.length > TOGETHER;
  const count = many ? 2 * rows.length : 2 ** rows.length;
  return Array.from({ length: count }, (_, pick) =>
    sumOf(
      rows,
      rows.map((_row, n) => {
        if (many) return pick >> 1 === n ? FLUX_LABEL[pick & 1 ? 1 : 0] : 1;
        return FLUX_LABEL[(pick >> n) & 1 ? 1 : 0];
      }),
    ),
  );
}

const isAssumed = ({ assumed }: ResolvedPlan, path: string): boolean =>
  assumed.some((one) => one.path === path);

/** The films a bag may have, each with its ways to scatter. */
function filmsOf(plan: ResolvedPlan, { name, film }: ResolvedBag): Left[] {
  const open = isAssumed(plan, `bags.${name}.film.passes`);
  const share = (value: number): number => Math.min(1, value);
  const films = open
    ? FILM_STATES
    : MEASURED.map((by) => ({ passes: share(film.passes * by), scatters: share(film.scatters / by) }));
  const models: FilmModel[] = [
    { ...USUAL_FILM, forward: FORWARD.low },
    { ...USUAL_FILM, forward: FORWARD.high },
    { ...USUAL_FILM, returns: RETURNS.low },
    { ...USUAL_FILM, returns: RETURNS.high },
  ];
  return [...films.map((one) => ownFilm(one, USUAL_FILM)), ...models.map((model) => ownFilm(film, model))];
}

/** Below this share of direct light a face's own part cannot be told from the scattered. */
const DIRECT_LEAST = 0.02;

type Side = { readonly azimuth: number; readonly face: number; readonly opposite: number };

/** A column of a row and the way its face looks. */
interface Face {
  readonly column: number;
  readonly normal: readonly [number, number];
}

/** The faces that a band looks at: the steady ones and those of a side. */
function facesFor(side: Side | undefined): Face[] {
  const steady = Array.from({ length: STEADY_FACES }, (_, k) => ({
    column: FACES + k,
    normal: azimuthNormal(45 * (k >> 1) + 180 * (k & 1)),
  }));
  if (side === undefined) return steady;
  return [
    ...steady,
    { column: side.face, normal: azimuthNormal(side.azimuth) },
    { column: side.opposite, normal: azimuthNormal(side.azimuth + 180) },
  ];
}

const evenOf = (left: Left): number => left.total - left.direct + left.inner;
const smoothOf = (left: Left): number => (left.kept - left.direct) / 2;

/** A row with its film taken off: pull and scalar, and for each face what comes across it and what falls on it straight. */
interface Bare {
  readonly pull: readonly [number, number, number];
  readonly scalar: number;
  readonly across: Float64Array;
  readonly straight: Float64Array;
}

function unfilmed(row: Float64Array, from: Left, faces: readonly Face[]): Bare {
  const scalar = itemAt(row, SCALAR) / (from.total + from.inner);
  const part = (i: number): number => itemAt(row, VECTOR + i) / from.kept;
  const pull = [part(0), part(1), part(2)] as const;
  const across = Float64Array.from(faces, ({ normal: [x, y] }) => x * pull[0] + y * pull[1]);
  const [even, smooth] = [evenOf(from) * scalar, smoothOf(from)];
  const straight = Float64Array.from(faces, ({ column }, n) => {
    const own = numberAt(across, n);
    const bare =
      from.direct > DIRECT_LEAST
        ? (itemAt(row, column) - even - smooth * own) / from.direct
        : scalar + own / 2;
    return Math.max(0, bare);
  });
  return { pull, scalar, across, straight };
}

/** Puts a film over a bare row: vector, scalar and the faces of `into`. */
function refilm(
  { pull, scalar, across, straight }: Bare,
  to: Left,
  faces: readonly Face[],
  into: Float64Array,
): void {
  pull.forEach((part, i) => {
    into[VECTOR + i] = to.kept * part;
  });
  into[SCALAR] = (to.total + to.inner) * scalar;
  const [even, smooth] = [evenOf(to) * scalar, smoothOf(to)];
  // A bare loop: every source's label and every film come by here.
  let n = 0;
  for (const { column } of faces) {
    into[column] = to.direct * numberAt(straight, n) + even + smooth * numberAt(across, n);
    n++;
  }
}

const lastingOf = ({ burning }: Treatment): number => burning.reduce((sum, { minutes }) => sum + minutes, 0);

/**
 * A level behind another film, over that behind the one it was worked out for, of which
 * `even` is the share that comes evenly: once as for light from one side, whose scattered
 * part adds to it, once as for light from opposite sides, where it does not.
 */
function levelFactors(even: number, from: Left, to: Left): number[] {
  const some = (left: Left): number => Math.max(1e-9, evenOf(left));
  const again = even * (some(to) / some(from));
  const parts = [
    (left: Left) => left.direct + left.kept,
    (left: Left) => Math.max(DIRECT_LEAST, left.direct),
  ];
  return parts.map((part) => (1 - even) * (part(to) / part(from)) + again);
}

/** Heights of the three layers as shares of the headspace (`heights.ts`). */
const LAYERS = [0.1, 0.5, 0.9] as const;
/** Steps in which the headspace is gone through. */
const STEPS = 20;

/** Level over the headspace of a lighter and of a denser block, over that of the block as planned. */
function densityFactors(plan: ResolvedPlan, bag: ResolvedBag, { lowest, middle, top }: Heights): Ends {
  const open = isAssumed(plan, `bags.${bag.name}.density`);
  const densities = open ? DENSITIES : MEASURED.map((by) => bag.density * by);
  const free = bag.height - blockHeight(bag);
  const layers = [lowest.level, middle.level, top.level] as const;
  const meanFrom = (start: number): number => {
    let sum = 0;
    for (let n = 0; n < STEPS; n++) sum += levelAt(layers, start + ((1 - start) * (n + 0.5)) / STEPS) / STEPS;
    return sum;
  };
  const whole = meanFrom(0);
  if (whole <= 0 || free <= 0) return [1, 1];
  const factors = densities.map((density) => {
    const start = (blockHeight({ ...bag, density }) - blockHeight(bag)) / free;
    return Math.max(0, meanFrom(Math.min(0.95, start))) / whole;
  });
  return [Math.min(1, ...factors), Math.max(1, ...factors)];
}

/** The level at a share of the headspace's height, straight between the layers and on beyond them. */
function levelAt([low, mid, high]: readonly [number, number, number], at: number): number {
  const upper = at > LAYERS[1];
  const [from, to] = upper ? [mid, high] : [low, mid];
  const [a, b] = upper ? [LAYERS[1], LAYERS[2]] : [LAYERS[0], LAYERS[1]];
  return from + ((to - from) * (at - a)) / (b - a);
}
