/**
 * Random small racks as questions for the choice of outputs, and a slow score that is
 * worked out from the field alone, without the tables and bounds of the choice.
 */

import fc from 'fast-check';
import { lightField, type ZoneField } from '../../../compiler/light/field.ts';
import { FACES } from '../../../compiler/light/row.ts';
import { azimuthNormal } from '../../../compiler/light/trace.ts';
import type { ResolvedLamp, ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import type { AskedZone, Part } from '../../../compiler/solve/asked.ts';
import { LightOnZone, radixOf, tiedOutputs } from '../../../compiler/solve/patterns.ts';
import type { Problem } from '../../../compiler/solve/problem.ts';
import type { Ask } from '../../../compiler/solve/score.ts';
import { itemAt } from '../../../shared/assert.ts';
import { controller, plan, shelf, strip, zone } from '../light/rack.ts';

export interface Question {
  readonly problem: Problem;
  readonly zones: readonly ZoneField[];
}

export interface Seed {
  readonly zones: number;
  readonly lamps: readonly { side: number; zone: number; shift: number; flux: number; dim: boolean }[];
  readonly asks: readonly number[];
  readonly low: number;
  readonly minutes: number;
}

/** Seeds of racks of one to three zones and at most `most` outputs; with `dims` some may be dimmed. */
export function questions(most: number, dims = false): fc.Arbitrary<Seed> {
  const lamp = fc.record({
    side: fc.integer({ min: 0, max: 3 }),
    zone: fc.integer({ min: 0, max: 2 }),
    shift: fc.integer({ min: -120, max: 120 }),
    flux: fc.integer({ min: 100, max: 900 }),
    dim: dims ? fc.boolean() : fc.constant(false),
  });
  return fc.record({
    zones: fc.integer({ min: 1, max: 3 }),
    lamps: fc.array(lamp, { minLength: 1, maxLength: most }),
    asks: fc.array(fc.integer({ min: 0, max: 5 }), { minLength: 3, maxLength: 3 }),
    low: fc.integer({ min: 50, max: 500 }),
    minutes: fc.integer({ min: 20, max: 150 }),
  });
}

const WIDTH = 420;

/** The question a seed stands for. */
export function makeQuestion(seed: Seed): Question {
  const made = makeRack(seed);
  const field = lightField(made);
  const occupancy = made.zones.map(() => 0);
  const zones = made.zones.flatMap((_, n) => field.zone(occupancy, n) ?? []);
  const outputs = field.outputs;
  const asked = zones.map((reached, n): AskedZone => {
    const light = new LightOnZone(reached, outputs, tiedOutputs(reached), []);
    const weights = light.radix.map((_, k) => light.radix.slice(0, k).reduce((a, b) => a * b, 1));
    const ask = askOf(seed, n, field.azimuths);
    const own = ask.kind === 'dark' ? [] : light.outputs;
    const memo = { id: n, alike: n, costs: new Map(), responses: new Map(), pairs: new Map() };
    return { ask, light, at: light.outputs, weights, base: 0, own, memo };
  });
  const radix = outputs.map(radixOf);
  const problem = {
    minutes: seed.minutes,
    slot: 15,
    outputs,
    radix,
    zones: asked,
    before: outputs.map(() => 0),
    limits: [],
  };
  return { problem, zones };
}

function makeRack({ zones, lamps }: Seed): ResolvedPlan {
  const kinds = lamps.map(({ dim }) => (dim ? ('dim' as const) : ('relay' as const)));
  return plan({
    controllers: [controller('c', kinds)],
    shelves: [shelf('s', 0, WIDTH * zones, 450, 520)],
    zones: Array.from({ length: zones }, (_, n) =>
      zone(`z${n}`, 0, [WIDTH * n + 80, WIDTH * (n + 1) - 80], [60, 390], 1, 2),
    ),
    lamps: lamps.map((lamp, n) => placed(lamp, n, zones)),
  });
}

function placed(lamp: Seed['lamps'][number], n: number, zones: number): ResolvedLamp {
  const left = WIDTH * (lamp.zone % zones);
  const [near, far] = [20 + Math.max(0, lamp.shift), 430 + Math.min(0, lamp.shift)];
  const shapes: [from: Vec3, to: Vec3, facing: Vec3][] = [
    [
      [left + 15, near, 330],
      [left + 15, far, 330],
      [1, 0, 0],
    ],
    [
      [left + WIDTH - 15, near, 330],
      [left + WIDTH - 15, far, 330],
      [-1, 0, 0],
    ],
    [
      [left + 40 + Math.max(0, lamp.shift), 5, 330],
      [left + WIDTH - 40, 5, 330],
      [0, 1, 0],
    ],
    [
      [left + 40, 445, 330],
      [left + WIDTH - 40 + Math.min(0, lamp.shift), 445, 330],
      [0, -1, 0],
    ],
  ];
  const [from, to, facing] = itemAt(shapes, lamp.side);
  return strip(`l${n}`, 0, n + 1, from, to, facing, lamp.flux, { dimmable: lamp.dim });
}

function askOf({ asks, low }: Seed, n: number, azimuths: readonly number[]): Ask {
  const pick = itemAt(asks, n);
  if (pick === 5) return { kind: 'dark' };
  const azimuth = pick * 90;
  const side =
    pick === 4
      ? undefined
      : {
          azimuth,
          normal: azimuthNormal(azimuth),
          face: FACES + azimuths.indexOf(azimuth),
          opposite: FACES + azimuths.indexOf((azimuth + 180) % 360),
        };
  return { kind: 'lit', side, low: low * 100, high: low * 400, contrast: 500 };
}

/**
 * Missing light, direction, contrast, level and dark of an answer, from the field's own
 * rows; minutes times begun steps. A bag that stays under the floor all the time, or is
 * pulled more than 45° beside the side asked for, counts for its missing light only.
 */
export function slowScore({ problem, zones }: Question, parts: readonly Part[]): number[] {
  const total: [number, number, number, number, number] = [0, 0, 0, 0, 0];
  zones.forEach((reached, n) => {
    const { ask, light } = itemAt(problem.zones, n);
    if (light.bags === 0) return;
    const bags = Array.from({ length: light.bags }, (_, bag) => bag);
    const levels = parts.map((part) => bags.map((bag) => levelOf(reached, bag, problem, part, n)));
    if (ask.kind === 'dark') {
      parts.forEach(({ minutes }, p) => {
        total[4] += minutes * steps(Math.max(...itemAt(levels, p)) - 500, 100);
      });
      return;
    }
    const floor = Math.max(500, ask.low / 4);
    const rows = bags.map((bag) => rowOf(reached, bag, problem, parts, n));
    const astray = rows.map((row) => ask.side !== undefined && offBy(row, ask.side.azimuth) > 4500);
    const counted = bags.filter(
      (bag) => !itemAt(astray, bag) && levels.some((of) => itemAt(of, bag) >= floor),
    );
    parts.forEach(({ minutes }, p) => {
      const of = itemAt(levels, p);
      for (const bag of bags) {
        const lack = steps(floor - itemAt(of, bag), floor / 10);
        total[0] += minutes * (itemAt(astray, bag) ? 10 : Math.min(10, lack));
      }
      const lit = counted.map((bag) => itemAt(of, bag)).filter((level) => level >= floor);
      const outside = (level: number): number =>
        level < ask.low ? steps(ask.low - level, ask.low / 100) : steps(level - ask.high, ask.high / 100);
      total[3] += minutes * Math.max(0, ...lit.map(outside));
    });
    const { side } = ask;
    const direction = counted.map((bag) =>
      side ? steps(offBy(itemAt(rows, bag), side.azimuth) - 1000, 100) : 0,
    );
    const contrast = counted.map((bag) => unevenness(itemAt(rows, bag), side));
    total[1] += problem.minutes * Math.max(0, ...direction);
    total[2] += problem.minutes * Math.max(0, ...contrast);
  });
  return total;
}

function unevenness(row: readonly number[], side: { face: number; opposite: number } | undefined): number {
  if (side) return steps(500 - share(itemAt(row, side.face), itemAt(row, side.opposite)), 10);
  let most = 0;
  for (let i = FACES; i < FACES + 8; i += 2) {
    const [a, b] = [itemAt(row, i), itemAt(row, i + 1)];
    const uneven = a === b ? 100 : share(Math.max(a, b), Math.min(a, b));
    most = Math.max(most, steps(uneven - 200, 10));
  }
  return most;
}

const steps = (excess: number, size: number): number => (excess > 0 ? Math.ceil(excess / size) : 0);
const share = (a: number, b: number): number =>
  a <= 0 ? 0 : b <= 0 ? 100_000 : Math.min(100_000, Math.round((100 * a) / b));

function offBy(row: readonly number[], azimuth: number): number {
  if (row[0] === 0 && row[1] === 0) return 18_000;
  const pull = (Math.atan2(itemAt(row, 0), itemAt(row, 1)) * 180) / Math.PI;
  const turned = Math.abs(((pull - azimuth + 540) % 360) - 180);
  return Math.round(turned * 100);
}

/** Shares of full of the outputs that count for a zone. */
function levelsOf({ radix, zones }: Problem, part: Part, n: number): number[] {
  const counted = new Set(itemAt(zones, n).at);
  return part.digits.map((digit, output) => (counted.has(output) ? digit / (itemAt(radix, output) - 1) : 0));
}

function rowOf(
  reached: ZoneField,
  bag: number,
  problem: Problem,
  parts: readonly Part[],
  n: number,
): number[] {
  const row: number[] = [];
  for (const part of parts) {
    levelsOf(problem, part, n).forEach((level, output) => {
      reached.outputs[output]?.means[bag]?.forEach((value, i) => {
        row[i] = (row[i] ?? 0) + value * level * part.minutes;
      });
    });
  }
  return row.length > 0 ? row : Array.from({ length: FACES + 8 }, () => 0);
}

function levelOf(reached: ZoneField, bag: number, problem: Problem, part: Part, n: number): number {
  const points: number[] = [];
  levelsOf(problem, part, n).forEach((level, output) => {
    reached.outputs[output]?.points[bag]?.forEach((value, i) => {
      points[i] = (points[i] ?? 0) + value * level;
    });
  });
  if (points.length === 0) return 0;
  const length = points.length / 45;
  let sum = 0;
  for (let at = 0; at < points.length; at += length) {
    // Vector, even part, then the vectors of the light from one half of space after the other.
    const three = (from: number): number[] => [0, 1, 2].map((i) => itemAt(points, at + from + i));
    const whole = three(0);
    const longest = [Math.hypot(...whole)];
    for (let from = 4; from < length; from += 3) {
      const front = three(from);
      longest.push(Math.hypot(...front), Math.hypot(...whole.map((value, i) => value - itemAt(front, i))));
    }
    sum += Math.max(...longest) + itemAt(points, at + 3);
  }
  return Math.round(sum / 45);
}
