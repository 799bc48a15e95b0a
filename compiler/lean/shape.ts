/**
 * The likely shape of the growth on a day: the way its tip has come so far, and
 * the room that all assumptions together leave for it.
 *
 * Always holds: an estimate, the same as `likelyLean` tells in figures; lengths
 * are mm from the middle of the block's top: x to the right, y to the back, z up.
 */

import { itemAt, numberAt, sure } from '../../shared/assert.ts';
import type { CivilDay } from '../../shared/units.ts';
import { azimuthNormal } from '../light/trace.ts';
import type { ResolvedGrowth, Vec3 } from '../plan/plan.ts';
import type { LeanCauses } from './estimate.ts';
import {
  angleOf,
  type Growing,
  middlePath,
  type Room,
  TIP_NUMBERS,
  type TipPath,
  tipPaths,
} from './likely-lean.ts';

/** Least and greatest over all assumptions. */
export type Reach = readonly [least: number, greatest: number];

/** With the middle assumptions, and over all. */
export interface Likely {
  readonly mid: number;
  readonly low: number;
  readonly high: number;
}

/** Where growth may be at one height. */
export interface BandAt {
  readonly z: number;
  readonly x: Reach;
  readonly y: Reach;
}

/** The growth at the end of a day. */
export interface LeanShape {
  /** Days since growth began, 1 the first; 0 before it. */
  readonly day: number;
  /** The likely way of the tip, the root first. */
  readonly path: readonly Vec3[];
  /** From the block up, every `BAND_STEP` mm. */
  readonly band: readonly BandAt[];
  /** Height of the tip, mm. */
  readonly height: Likely;
  /** Degrees from upright, and mm toward the first side; undefined before growth begins, and once the likely tip has met the film. */
  readonly angle: Likely | undefined;
  readonly drift: Likely | undefined;
  /** Where the likely tip met the film; undefined while it has not. */
  readonly contact: Vec3 | undefined;
  /** With some assumptions it has met the film by now. */
  readonly mayTouch: boolean;
}

/** The growth of a batch in a zone, from the first day to the last. */
export interface LeanCourse extends LeanCauses {
  readonly filmDay: number | undefined;
  readonly filmEarliest: number | undefined;
  /** As it is at the end of a day. */
  on(day: CivilDay): LeanShape;
}

/** Heights at which the band is told, mm apart. */
export const BAND_STEP = 5;

/** Follows growth with all assumptions. */
export function followLean(causes: LeanCauses, growth: ResolvedGrowth): LeanCourse {
  const { pulls, room, firstDay, toward } = causes;
  const all = tipPaths(growth, pulls, room);
  const mid = middlePath(growth, pulls, room);
  const grown: Grown = {
    ...{ mid, all, passing: all.map(passingOf), room },
    toward: azimuthNormal(toward ?? 0),
  };
  const meets = all.flatMap(({ filmDay }) => filmDay ?? []);
  return {
    ...causes,
    filmDay: mid.filmDay,
    filmEarliest: meets.length > 0 ? Math.min(...meets) : undefined,
    on: (day) => shapeOn(grown, Math.max(0, day - firstDay + 1)),
  };
}

interface Grown {
  readonly mid: Growing;
  readonly all: readonly TipPath[];
  readonly passing: readonly Passing[];
  readonly room: Room;
  readonly toward: readonly [number, number];
}

function shapeOn({ mid, all, passing, room, toward: [x, y] }: Grown, day: number): LeanShape {
  const touches = mid.filmDay !== undefined && day >= mid.filmDay;
  const contact = touches ? onFilm(mid, room) : undefined;
  const days = mid.days.slice(0, day).map(({ at }) => at);
  const path: Vec3[] = [[0, 0, 0], ...days, ...(contact ? [contact] : [])];
  const tip = mid.days[day - 1];
  const still = tip ? all.filter(({ at }) => at.length >= day * TIP_NUMBERS) : [];
  const numbers = ({ at }: TipPath, n: number): number => itemAt(at, (day - 1) * TIP_NUMBERS + n);
  return {
    day,
    path,
    band: bandOf(passing, day),
    height: likely(
      sure(path.at(-1))[2],
      all.map((one) => topOf(one, day)),
    ),
    angle:
      tip &&
      likely(
        angleOf(tip.along[2]),
        still.map((one) => angleOf(numbers(one, 3))),
      ),
    drift:
      tip &&
      likely(
        tip.at[0] * x + tip.at[1] * y,
        still.map((one) => numbers(one, 0) * x + numbers(one, 1) * y),
      ),
    contact,
    mayTouch: all.some(({ filmDay }) => filmDay !== undefined && filmDay <= day),
  };
}

const likely = (mid: number, all: readonly number[]): Likely => ({
  mid,
  low: Math.min(mid, ...all),
  high: Math.max(mid, ...all),
});

function topOf({ at }: TipPath, day: number): number {
  const last = Math.min(day, at.length / TIP_NUMBERS) - 1;
  return last < 0 ? 0 : itemAt(at, last * TIP_NUMBERS + 2);
}

/** From the tip's last whole day straight on to the film. */
function onFilm({ days }: Growing, { halfX, halfY, height }: Room): Vec3 {
  const { at, along } = days.at(-1) ?? { at: [0, 0, 0] as const, along: [0, 0, 1] as const };
  const far = [halfX, halfY, height].map((end, axis) => {
    const [from, by] = [itemAt(at, axis), itemAt(along, axis)];
    return by === 0 ? Number.POSITIVE_INFINITY : ((by > 0 ? end : -end) - from) / by;
  });
  const reach = Math.min(...far.filter((one) => one >= 0));
  return [at[0] + along[0] * reach, at[1] + along[1] * reach, at[2] + along[2] * reach];
}

/** Where a way passes each height of the band (x, y), and at the end of which day it has. */
interface Passing {
  readonly places: Float32Array;
  readonly days: Uint16Array;
}

function passingOf({ at }: TipPath): Passing {
  const places: number[] = [];
  const days: number[] = [];
  let [x, y, z] = [0, 0, 0];
  for (let n = 0; n < at.length; n += TIP_NUMBERS) {
    const [toX, toY, toZ] = [itemAt(at, n), itemAt(at, n + 1), itemAt(at, n + 2)];
    while (days.length * BAND_STEP <= toZ) {
      const part = toZ > z ? (days.length * BAND_STEP - z) / (toZ - z) : 1;
      places.push(x + (toX - x) * part, y + (toY - y) * part);
      days.push(n / TIP_NUMBERS + 1);
    }
    [x, y, z] = [toX, toY, toZ];
  }
  return { places: Float32Array.from(places), days: Uint16Array.from(days) };
}

/** What all ways have passed by the end of a day, height by height. */
function bandOf(all: readonly Passing[], day: number): BandAt[] {
  const steps = Math.max(0, ...all.map(({ days }) => days.length));
  // Least and greatest x, least and greatest y of each height.
  const ends = new Float32Array(4 * steps);
  for (let i = 0; i < ends.length; i++)
    ends[i] = i % 2 === 0 ? Number.POSITIVE_INFINITY : Number.NEGATIVE_INFINITY;
  let passed = 0;
  for (const { places, days } of all) {
    let step = 0;
    for (; step < days.length && itemAt(days, step) <= day; step++) {
      for (let axis = 0; axis < 2; axis++) {
        const [at, end] = [numberAt(places, 2 * step + axis), 4 * step + 2 * axis];
        if (at < numberAt(ends, end)) ends[end] = at;
        if (at > numberAt(ends, end + 1)) ends[end + 1] = at;
      }
    }
    passed = Math.max(passed, step);
  }
  return Array.from({ length: passed }, (_, step): BandAt => {
    const end = (n: number): number => itemAt(ends, 4 * step + n);
    return { z: step * BAND_STEP, x: [end(0), end(1)], y: [end(2), end(3)] };
  });
}
