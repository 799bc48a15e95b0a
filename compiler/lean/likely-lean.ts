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

import { itemAt } from '../../shared/assert.ts';
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
interface TipState {
  /** Position from the middle of the block's top, mm. */
  readonly at: Vec3;
  /** Tangent. */
  readonly along: Vec3;
}

interface Growing {
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

/** Follows a tip from upright through the pulls, a step an hour (midpoint rule). */
export function grow(
  growth: Growth,
  pulls: readonly PullStep[],
  room: Room,
  start: Vec3 = [0, 0, 1],
): Growing {
  let along = start;
  let at: Vec3 = [0, 0, 0];
  let lagged: readonly [number, number] = [0, 0];
  const days: TipState[] = [];
  const hours = hourly(pulls);
  for (let hour = 0; hour < hours.length; hour++) {
    const step = 1 / STEPS_PER_DAY;
    const keep = growth.lag > 0 ? Math.exp(-step / growth.lag) : 0;
    const [x, y] = itemAt(hours, hour);
    lagged = [x + (lagged[0] - x) * keep, y + (lagged[1] - y) * keep];
    const force: Vec3 = [lagged[0], lagged[1], growth.gravity];
    const half = turned(along, force, growth, step / 2);
    const next = turned(along, force, growth, step, half);
    at = [
      at[0] + half[0] * growth.rate * step,
      at[1] + half[1] * growth.rate * step,
      at[2] + half[2] * growth.rate * step,
    ];
    along = next;
    if (meetsFilm(at, room)) return { days, filmDay: Math.floor(hour / STEPS_PER_DAY) + 1 };
    if ((hour + 1) % STEPS_PER_DAY === 0) days.push({ at, along });
  }
  return { days, filmDay: undefined };
}

/** The pull of every hour. */
function hourly(pulls: readonly PullStep[]): (readonly [number, number])[] {
  const hours: (readonly [number, number])[] = [];
  let time = 0;
  for (const { days, pull } of pulls) {
    time += days * STEPS_PER_DAY;
    while (hours.length + 0.5 < time) hours.push(pull);
  }
  return hours;
}

/** The tangent after a time, turning as it would at `by`. */
function turned(from: Vec3, force: Vec3, { rate, tip, pull }: Growth, time: number, by: Vec3 = from): Vec3 {
  const straight = force[0] * by[0] + force[1] * by[1] + force[2] * by[2];
  const side: Vec3 = [force[0] - straight * by[0], force[1] - straight * by[1], force[2] - straight * by[2]];
  const size = Math.sqrt(side[0] ** 2 + side[1] ** 2 + side[2] ** 2);
  if (size < 1e-12) return from;
  const turn = ((pull * rate) / tip) * Math.min(1, size / 0.7) * time;
  const moved: Vec3 = [
    from[0] + (side[0] / size) * turn,
    from[1] + (side[1] / size) * turn,
    from[2] + (side[2] / size) * turn,
  ];
  const length = Math.sqrt(moved[0] ** 2 + moved[1] ** 2 + moved[2] ** 2);
  return [moved[0] / length, moved[1] / length, moved[2] / length];
}

const meetsFilm = ([x, y, z]: Vec3, room: Room): boolean =>
  Math.abs(x) >= room.halfX || Math.abs(y) >= room.halfY || z >= room.height;

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
  const all = combinations(growth).map((one) => grow(one, pulls, room));
  const meets = all.flatMap(({ filmDay }) => (filmDay === undefined ? [] : [filmDay]));
  const band = (measure: (tip: TipState) => number) =>
    mid.days.map((tip, day) => {
      const values = all.flatMap(({ days }) => (days[day] ? [measure(days[day])] : []));
      return { mid: measure(tip), low: Math.min(...values), high: Math.max(...values) };
    });
  return {
    angle: band(({ along }) => (Math.acos(Math.min(1, along[2])) * 180) / Math.PI),
    drift: band(({ at }) => at[0] * toward[0] + at[1] * toward[1]),
    filmDay: mid.filmDay,
    filmEarliest: meets.length > 0 ? Math.min(...meets) : undefined,
  };
}

/** Drift (mm toward the first side) at the end of each day with the middle assumptions. */
export function driftOf(
  growth: ResolvedGrowth,
  pulls: readonly PullStep[],
  room: Room,
  toward: readonly [number, number],
): number[] {
  return grow(middle(growth), pulls, room).days.map(({ at }) => at[0] * toward[0] + at[1] * toward[1]);
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

function combinations(growth: ResolvedGrowth): Growth[] {
  const each = ({ low, mid, high }: Range): number[] => [...new Set([low, mid, high])];
  return each(growth.rate).flatMap((rate) =>
    each(growth.tip).flatMap((tip) =>
      each(growth.pull).flatMap((pull) =>
        each(growth.gravity).flatMap((gravity) =>
          each(growth.lag).map((lag) => ({ rate, tip, pull, gravity, lag })),
        ),
      ),
    ),
  );
}
