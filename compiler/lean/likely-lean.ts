/**
 * How the growth will probably lean: an estimate, to be corrected by the grower's own
 * measurements. Nothing in the schedule depends on it.
 *
 * Always holds: the tip grows along its unit tangent e and turns toward the pull
 * P = h + G·ẑ as fast as the side difference allows: de/dt = (f·g/d)·min(1, |P⊥|/0.7)·P̂⊥.
 * Gravity acts by the sine law, and the light needed rises steeply with inclination
 * (Galland 2002, Phycomyces); 0.7 = sin 45° (Dennison 1965); the set-point tan θ = h/G has
 * the form of Bastien 2015 (plants). Rate, tip, side difference, gravity and lag are
 * assumptions: nothing is published for this crop.
 */

import { itemAt, numberAt, sure } from '../../shared/assert.ts';
import type { Range, ResolvedGrowth, Vec3 } from '../plan/plan.ts';

/** One set of growth assumptions: mm/day, mm, share, share, days. */
export interface Growth {
  readonly rate: number;
  readonly tip: number;
  readonly pull: number;
  readonly gravity: number;
  readonly lag: number;
}

/** The light's pull while it lasts: horizontal (x, y), before the lag. */
export interface PullStep {
  readonly days: number;
  readonly pull: readonly [x: number, y: number];
}

/** Room to grow: half the footprint, and the headspace's height, mm. */
export interface Room {
  readonly halfX: number;
  readonly halfY: number;
  readonly height: number;
}

/** The tip at the end of a day. */
export interface TipState {
  /** Position from the middle of the block's top, mm. */
  readonly at: Vec3;
  /** Tangent. */
  readonly along: Vec3;
}

export interface Growing {
  /** One a day, the first after the first day; ends where the growth meets the film. */
  readonly days: readonly TipState[];
  /** The day (counted from 1) on which it meets the film, if it does. */
  readonly filmDay: number | undefined;
}

/** Side pull of a contrast (lit : opposite) at a level in lux: ((C−1)/(C+1))·min(1, ln(1+L/5)/ln(1+500/5)). */
export function sidePull(contrast: number, level: number): number {
  const weight = Math.min(1, Math.log(1 + level / 5) / Math.log(101));
  return contrast <= 1 ? 0 : ((contrast - 1) / (contrast + 1)) * weight;
}

const STEPS_PER_DAY = 24;
const STEP = 1 / STEPS_PER_DAY;

/** Follows a tip from upright through the pulls, a step an hour (midpoint rule). */
export function grow(growth: Growth, pulls: readonly PullStep[], room: Room): Growing {
  const pull = lagged(hourly(pulls), growth.lag);
  const path = pathFor(pull);
  const filmDay = follow(growth, pull, room, path);
  const days = Array.from({ length: daysIn(pull, filmDay) }, (_, day): TipState => {
    const [x, y, z, ax, ay, az] = path.subarray(day * STATE, (day + 1) * STATE);
    return { at: [sure(x), sure(y), sure(z)], along: [sure(ax), sure(ay), sure(az)] };
  });
  return { days, filmDay };
}

/** The pull of every hour: x and y. */
interface Hours {
  readonly x: Float64Array;
  readonly y: Float64Array;
}

function hourly(pulls: readonly PullStep[]): Hours {
  const x: number[] = [];
  const y: number[] = [];
  let time = 0;
  for (const { days, pull } of pulls) {
    time += days * STEPS_PER_DAY;
    while (x.length + 0.5 < time) {
      x.push(pull[0]);
      y.push(pull[1]);
    }
  }
  return { x: Float64Array.from(x), y: Float64Array.from(y) };
}

const firstHours = ({ x, y }: Hours, count: number): Hours => ({
  x: x.subarray(0, count),
  y: y.subarray(0, count),
});

/** What the growth feels of a pull that takes so many days to be felt. */
function lagged({ x, y }: Hours, lag: number): Hours {
  const keep = lag > 0 ? Math.exp(-STEP / lag) : 0;
  const behind = (pull: Float64Array): Float64Array => {
    let felt = 0;
    return pull.map((now) => (felt = now + (felt - now) * keep));
  };
  return { x: behind(x), y: behind(y) };
}

/** Numbers kept of a day's end: position, then tangent. */
const STATE = 6;

/** Room for what `follow` keeps of every whole day. */
const pathFor = ({ x }: Hours): Float64Array =>
  new Float64Array(Math.floor(x.length / STEPS_PER_DAY) * STATE);

/** Whole days until the end, or until the growth met the film. */
const daysIn = ({ x }: Hours, filmDay: number | undefined): number =>
  filmDay === undefined ? Math.floor(x.length / STEPS_PER_DAY) : filmDay - 1;

/** A direction, or a force. */
interface Vector {
  readonly x: number;
  readonly y: number;
  readonly z: number;
}

/**
 * Follows a tip through the lagged pulls, keeps the end of every day in `path`, and returns the
 * day (counted from 1) on which it meets the film.
 */
function follow(
  { rate, tip, pull, gravity }: Growth,
  felt: Hours,
  { halfX, halfY, height }: Room,
  path: Float64Array,
): number | undefined {
  const most = ((pull * rate) / tip) * STEP;
  const rise = rate * STEP;
  let [x, y, z] = [0, 0, 0];
  let along: Vector = { x: 0, y: 0, z: 1 };
  for (let hour = 0; hour < felt.x.length; hour++) {
    const force = { x: numberAt(felt.x, hour), y: numberAt(felt.y, hour), z: gravity };
    const half = turned(along, along, force, most / 2);
    along = turned(along, half, force, most);
    x += half.x * rise;
    y += half.y * rise;
    z += half.z * rise;
    if (Math.abs(x) >= halfX || Math.abs(y) >= halfY || z >= height)
      return Math.floor(hour / STEPS_PER_DAY) + 1;
    if ((hour + 1) % STEPS_PER_DAY === 0)
      path.set([x, y, z, along.x, along.y, along.z], ((hour + 1) / STEPS_PER_DAY - 1) * STATE);
  }
  return undefined;
}

/** A side difference of this much (sin 45°) turns as fast as a tip can. */
const FULL_TURN = 0.7;

/** The tangent `from` turned toward the force as a tangent `by` would be, by `most` where it turns fastest. */
function turned(from: Vector, by: Vector, force: Vector, most: number): Vector {
  const straight = force.x * by.x + force.y * by.y + force.z * by.z;
  const x = force.x - straight * by.x;
  const y = force.y - straight * by.y;
  const z = force.z - straight * by.z;
  const squared = x * x + y * y + z * z;
  const share = squared < FULL_TURN * FULL_TURN ? most / FULL_TURN : most / Math.sqrt(squared);
  const [tx, ty, tz] = [from.x + x * share, from.y + y * share, from.z + z * share];
  const scale = 1 / Math.sqrt(tx * tx + ty * ty + tz * tz);
  return { x: tx * scale, y: ty * scale, z: tz * scale };
}

/** Numbers of a `TipPath` for each day: x, y, z (mm) and the rise of the tangent. */
export const TIP_NUMBERS = 4;

/** The way of one tip: where it is at the end of each day, and how steep. */
export interface TipPath {
  readonly at: Float32Array;
  /** The day (counted from 1) on which it meets the film, if it does; its way ends the day before. */
  readonly filmDay: number | undefined;
}

/** The ways of the tip with every combination of low, middle and high assumptions. */
export function tipPaths(growth: ResolvedGrowth, pulls: readonly PullStep[], room: Room): TipPath[] {
  const hours = hourly(pulls);
  const path = pathFor(hours);
  return each(growth.lag).flatMap((lag) => {
    const felt = lagged(hours, lag);
    return combinations(growth, lag).map((one): TipPath => {
      const filmDay = follow(one, felt, room, path);
      const days = daysIn(felt, filmDay);
      const at = new Float32Array(days * TIP_NUMBERS);
      for (let day = 0; day < days; day++) {
        at.set(path.subarray(day * STATE, day * STATE + 3), day * TIP_NUMBERS);
        at[day * TIP_NUMBERS + 3] = numberAt(path, day * STATE + STATE - 1);
      }
      return { at, filmDay };
    });
  });
}

/** The way of the tip with the middle assumptions. */
export const middlePath = (growth: ResolvedGrowth, pulls: readonly PullStep[], room: Room): Growing =>
  grow(middle(growth), pulls, room);

/** The estimate with its band, day by day. */
export interface LikelyLean {
  /** Angle from the vertical at the end of each day, degrees: middle, least and greatest of all assumptions. */
  readonly angle: readonly { readonly mid: number; readonly low: number; readonly high: number }[];
  /** How far the tip has moved toward the first side, mm. */
  readonly drift: readonly { readonly mid: number; readonly low: number; readonly high: number }[];
  /** Day of meeting the film: with the middle assumptions, and the earliest of all. */
  readonly filmDay: number | undefined;
  readonly filmEarliest: number | undefined;
}

/** Estimates with every combination of low, middle and high assumptions; `toward` is the first side (unit x, y). */
export function likelyLean(
  growth: ResolvedGrowth,
  pulls: readonly PullStep[],
  room: Room,
  toward: readonly [number, number],
): LikelyLean {
  const mid = grow(middle(growth), pulls, room);
  // What comes after the middle estimate has ended at the film is not told.
  const hours = (mid.filmDay ?? Number.POSITIVE_INFINITY) * STEPS_PER_DAY;
  const bands = bandsOf(growth, firstHours(hourly(pulls), hours), room, toward);
  const drift = driftToward(mid, toward);
  return {
    angle: mid.days.map(({ along }, day) => ({
      mid: angleOf(along[2]),
      low: angleOf(itemAt(bands.most, day)),
      high: angleOf(itemAt(bands.least, day)),
    })),
    drift: drift.map((value, day) => ({
      mid: value,
      low: itemAt(bands.nearest, day),
      high: itemAt(bands.farthest, day),
    })),
    filmDay: mid.filmDay,
    filmEarliest: bands.filmEarliest,
  };
}

/** Degrees from the vertical of a tangent that rises by `rise`. */
export const angleOf = (rise: number): number => (Math.acos(Math.min(1, rise)) * 180) / Math.PI;

const driftToward = ({ days }: Growing, [x, y]: readonly [number, number]): number[] =>
  days.map(({ at }) => at[0] * x + at[1] * y);

/** Least and greatest rise of the tangent and drift of the tip over all assumptions, day by day. */
interface Bands {
  readonly least: Float64Array;
  readonly most: Float64Array;
  readonly nearest: Float64Array;
  readonly farthest: Float64Array;
  filmEarliest: number | undefined;
}

function bandsOf(growth: ResolvedGrowth, pulls: Hours, room: Room, toward: readonly [number, number]): Bands {
  const path = pathFor(pulls);
  const of = (value: number): Float64Array => new Float64Array(path.length / STATE).fill(value);
  const [least, nearest] = [of(Number.POSITIVE_INFINITY), of(Number.POSITIVE_INFINITY)];
  const [most, farthest] = [of(Number.NEGATIVE_INFINITY), of(Number.NEGATIVE_INFINITY)];
  const bands: Bands = { least, most, nearest, farthest, filmEarliest: undefined };
  for (const lag of each(growth.lag)) {
    const felt = lagged(pulls, lag);
    for (const one of combinations(growth, lag)) {
      const filmDay = follow(one, felt, room, path);
      if (filmDay !== undefined) bands.filmEarliest = Math.min(filmDay, bands.filmEarliest ?? filmDay);
      widen(bands, path, daysIn(felt, filmDay), toward);
    }
  }
  return bands;
}

/** Widens the bands by one path of so many days. */
function widen(
  { least, most, nearest, farthest }: Bands,
  path: Float64Array,
  days: number,
  [x, y]: readonly [number, number],
): void {
  for (let day = 0; day < days; day++) {
    const at = day * STATE;
    const rise = numberAt(path, at + STATE - 1);
    const drift = numberAt(path, at) * x + numberAt(path, at + 1) * y;
    if (rise < numberAt(least, day)) least[day] = rise;
    if (rise > numberAt(most, day)) most[day] = rise;
    if (drift < numberAt(nearest, day)) nearest[day] = drift;
    if (drift > numberAt(farthest, day)) farthest[day] = drift;
  }
}

/** Drift (mm toward the first side) at the end of each day with the middle assumptions. */
export function driftOf(
  growth: ResolvedGrowth,
  pulls: readonly PullStep[],
  room: Room,
  toward: readonly [number, number],
): number[] {
  return driftToward(grow(middle(growth), pulls, room), toward);
}

/** The pulls without their first days. */
export function withoutFirst(pulls: readonly PullStep[], days: number): PullStep[] {
  let left = days;
  return pulls.flatMap((step) => {
    const cut = Math.min(left, step.days);
    left -= cut;
    return step.days > cut ? [{ ...step, days: step.days - cut }] : [];
  });
}

function middle({ rate, tip, pull, gravity, lag }: ResolvedGrowth): Growth {
  return { rate: rate.mid, tip: tip.mid, pull: pull.mid, gravity: gravity.mid, lag: lag.mid };
}

const each = ({ low, mid, high }: Range): number[] => [...new Set([low, mid, high])];

/** Every combination of the assumptions with one lag. */
function combinations({ rate, tip, pull, gravity }: ResolvedGrowth, lag: number): Growth[] {
  return each(rate).flatMap((r) =>
    each(tip).flatMap((t) =>
      each(pull).flatMap((p) => each(gravity).map((g) => ({ rate: r, tip: t, pull: p, gravity: g, lag }))),
    ),
  );
}
