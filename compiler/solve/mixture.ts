/**
 * What no mixture of two patterns can beat.
 *
 * Always holds: the pull of a mixture lies in the angle between the two pulls, the
 * short way round; a ratio of mixed faces lies between the two ratios; missing light,
 * level and dark of a mixture lie between those of the two. So a bound never exceeds
 * the score of a mixture, nor of a mixture of mixtures between the same two.
 */

import { itemAt } from '../../shared/assert.ts';
import type { AskedZone } from './asked.ts';
import type { Problem } from './problem.ts';
import {
  ANGLE_MOST,
  type Ask,
  angleOff,
  begun,
  CONTRAST,
  contrastExcess,
  DIRECTION,
  darkExcess,
  LACK_ALL,
  LEAK,
  LENGTH,
  LEVEL,
  lackOf,
  levelExcess,
  OTHER_SIDE,
  PATTERNS,
  pairBalance,
  UNLIT,
} from './score.ts';

/** One zone under one pattern or mixture, bag by bag. */
export interface Look {
  /** Signed angle between pull and side, hundredths of a degree; all 0 for upright. */
  readonly angles: Int32Array;
  /** Signed contrast excesses: one a bag, or for upright one for each pair of its faces. */
  readonly contrasts: Int32Array;
  /** Missing light by level alone, tenths by the minute. */
  readonly lacks: Float64Array;
  /** 1 where some pattern lifts the bag over the floor. */
  readonly lit: Uint8Array;
  /** Level outside the band by the minute, while lit. */
  readonly levels: Float64Array;
  /** Begun lux above dark by the minute. */
  readonly dark: number;
}

const NONE: Look = {
  angles: new Int32Array(0),
  contrasts: new Int32Array(0),
  lacks: new Float64Array(0),
  lit: new Uint8Array(0),
  levels: new Float64Array(0),
  dark: 0,
};

/** Looks at one zone under one of its patterns. */
export function lookAtPattern({ ask, light }: AskedZone, pattern: number): Look {
  if (light.bags === 0) return NONE;
  const { rows, levels } = light.of(pattern);
  if (ask.kind === 'dark') return { ...NONE, dark: darkExcess(Math.max(...levels)) };
  const lacks = Float64Array.from(levels, (level, bag) => lackOf(level, ask.low, itemAt(light.room, bag)));
  return {
    ...shapeOf(light, ask, rows),
    lacks,
    lit: Uint8Array.from(lacks, (lack) => (lack === 0 ? 1 : 0)),
    levels: levels.map((level, bag) => (lacks[bag] === 0 ? levelExcess(level, ask.low, ask.high) : 0)),
    dark: 0,
  };
}

/** A pattern, for how long, and its look. */
export interface Share {
  readonly pattern: number;
  readonly minutes: number;
  readonly look: Look;
}

/** Looks at one zone under a mixture of two patterns. */
export function lookAtMixture({ ask, light }: AskedZone, first: Share, second: Share): Look {
  if (light.bags === 0 || first.pattern === second.pattern) return first.look;
  const share = first.minutes / (first.minutes + second.minutes);
  const between = (a: number, b: number): number => share * a + (1 - share) * b;
  if (ask.kind === 'dark') return { ...NONE, dark: between(first.look.dark, second.look.dark) };
  const [a, b] = [light.of(first.pattern).rows, light.of(second.pattern).rows];
  const rows = new Float64Array(a.length);
  for (let i = 0; i < rows.length; i++) rows[i] = first.minutes * (a[i] ?? 0) + second.minutes * (b[i] ?? 0);
  return {
    ...shapeOf(light, ask, rows),
    lacks: first.look.lacks.map((lack, bag) => between(lack, itemAt(second.look.lacks, bag))),
    lit: first.look.lit.map((lit, bag) => Math.max(lit, itemAt(second.look.lit, bag))),
    levels: first.look.levels.map((level, bag) => between(level, itemAt(second.look.levels, bag))),
    dark: 0,
  };
}

function shapeOf(
  { bags, columns }: AskedZone['light'],
  ask: Ask & { kind: 'lit' },
  rows: Float64Array,
): Pick<Look, 'angles' | 'contrasts'> {
  const { side } = ask;
  const angles = new Int32Array(bags);
  const contrasts: number[] = [];
  for (let bag = 0; bag < bags; bag++) {
    const at = bag * columns;
    if (side === undefined) contrasts.push(...pairBalance(rows, at));
    else {
      const turn = itemAt(rows, at) * side.normal[1] - itemAt(rows, at + 1) * side.normal[0];
      angles[bag] = angleOff(rows, at, side) * (turn < 0 ? -1 : 1);
      contrasts.push(contrastExcess(rows, at, ask));
    }
  }
  return { angles, contrasts: Int32Array.from(contrasts) };
}

/** A score no mixture between the two (zone by zone) can beat. */
export function boundOf(problem: Problem, a: readonly Look[], b: readonly Look[]): Float64Array {
  const least = new Float64Array(LENGTH);
  least[PATTERNS] = 2;
  problem.zones.forEach((zone, n) => {
    addBound(least, zone, itemAt(a, n), itemAt(b, n), problem.minutes);
  });
  return least;
}

function addBound(least: Float64Array, zone: AskedZone, a: Look, b: Look, minutes: number): void {
  // A hair is taken off what is added up by shares, for these are not whole numbers.
  const put = (part: number, value: number): void => {
    least[part] = itemAt(least, part) + minutes * value * (1 - 1e-12);
  };
  put(LEAK, Math.min(a.dark, b.dark));
  let [direction, contrast, first, second] = [0, 0, 0, 0];
  const upright = zone.ask.kind === 'dark' || zone.ask.side === undefined;
  const width = a.angles.length === 0 ? 0 : a.contrasts.length / a.angles.length;
  for (let bag = 0; bag < a.angles.length; bag++) {
    const [x, y] = [itemAt(a.angles, bag), itemAt(b.angles, bag)];
    const [near, far] = nearAndFar(x, y);
    put(UNLIT, near > OTHER_SIDE ? LACK_ALL : Math.min(itemAt(a.lacks, bag), itemAt(b.lacks, bag)));
    const reached = itemAt(a.lit, bag) + itemAt(b.lit, bag) > 0 && (upright || far < OTHER_SIDE);
    if (!reached) continue;
    direction = Math.max(direction, begun(near - ANGLE_MOST, 100));
    for (let i = bag * width; i < (bag + 1) * width; i++) {
      contrast = Math.max(contrast, common(itemAt(a.contrasts, i), itemAt(b.contrasts, i)));
    }
    first = Math.max(first, itemAt(a.levels, bag));
    second = Math.max(second, itemAt(b.levels, bag));
  }
  put(DIRECTION, direction);
  put(CONTRAST, contrast);
  put(LEVEL, Math.min(first, second));
}

/** The least and the greatest angle a pull between two can have. One hundredth is given away to rounding. */
function nearAndFar(x: number, y: number): readonly [near: number, far: number] {
  const [low, high] = [Math.min(Math.abs(x), Math.abs(y)), Math.max(Math.abs(x), Math.abs(y))];
  const apart = x < 0 !== y < 0;
  const crosses = apart && low + high <= 18_000;
  const behind = apart && low + high >= 18_000;
  return [crosses ? 0 : Math.max(0, low - 1), behind ? 18_000 : high + 1];
}

/** The excess two signed excesses have in common. */
function common(x: number, y: number): number {
  if (x > 0 && y > 0) return Math.min(x, y);
  return x < 0 && y < 0 ? Math.min(-x, -y) : 0;
}

/** A score no mixture of any two of the looks (one list a zone, in the order of candidates) can beat. */
export function leastOf(problem: Problem, candidates: readonly (readonly Look[])[]): Float64Array {
  const least = new Float64Array(LENGTH);
  problem.zones.forEach((zone, n) => {
    const envelope = envelopeOf(candidates.map((looks) => itemAt(looks, n)));
    if (envelope !== undefined) addBound(least, zone, ...envelope, problem.minutes);
  });
  return least;
}

/** Two looks between which, number by number, all of a zone's looks lie; so their bound holds for every pair. */
function envelopeOf(looks: readonly Look[]): readonly [Look, Look] | undefined {
  const [first, ...rest] = looks;
  if (first === undefined) return undefined;
  const gather = (pick: (a: number, b: number) => number): Look =>
    rest.reduce<Look>(
      (all, look) => ({
        angles: all.angles.map((angle, i) => pick(angle, itemAt(look.angles, i))),
        contrasts: all.contrasts.map((excess, i) => pick(excess, itemAt(look.contrasts, i))),
        lacks: all.lacks.map((lack, i) => Math.min(lack, itemAt(look.lacks, i))),
        // Reached for sure only where every look reaches it.
        lit: all.lit.map((lit, i) => Math.min(lit, itemAt(look.lit, i))),
        levels: all.levels.map((level, i) => Math.min(level, itemAt(look.levels, i))),
        dark: Math.min(all.dark, look.dark),
      }),
      first,
    );
  const [low, high] = [gather(Math.min), gather(Math.max)];
  // Pulls more than half a turn apart may be mixed to anything between: to every angle, that is.
  const angles = high.angles.map((angle, bag) =>
    itemAt(low.angles, bag) < 0 ? Math.min(angle, 18_000 + itemAt(low.angles, bag)) : angle,
  );
  return [low, { ...high, angles }];
}
