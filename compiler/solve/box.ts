/**
 * What no setting within a box of levels can beat, for one zone.
 *
 * A box lets every free output burn at any digit from `lo` to `hi`. A bag's faces and pull
 * are sums over the outputs, so the pulls of a box fill a zonotope, whose corners tell the
 * least angle, and the greatest ratio of two faces is found by adding
 * outputs in the order of their own ratios.
 *
 * Always holds: a bound, compared part by part, never exceeds the score of any setting in
 * the box; a hundredth is given away to rounding.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Influence } from '../light/field.ts';
import { POINTS } from '../light/headspace.ts';
import { FACES, POINT_LENGTH, STEADY_FACES, VECTOR } from '../light/row.ts';
import type { AskedZone } from './asked.ts';
import { type Between, lengthsOf, levelsIn, type PointParts, pointParts } from './box-level.ts';
import { levelOf } from './patterns.ts';
import {
  ANGLE_MOST,
  type Ask,
  angleOff,
  begun,
  CONTRAST,
  contrastExcessOf,
  DIRECTION,
  darkExcess,
  LACK_ALL,
  LEAK,
  LEVEL,
  lackOf,
  lackOfBand,
  lackOfRoomOf,
  leastLit,
  levelExcess,
  OTHER_SIDE,
  ratio,
  type Side,
  TIGHT,
  TIGHT_ALL,
  tightOf,
  UNLIT,
} from './score.ts';

type LitAsk = Ask & { readonly kind: 'lit' };

/** What one bag gets of something, an output's digit at a time. */
interface BagPart {
  readonly row: Float64Array;
  readonly points: PointParts;
}

/** The bounds of one zone; `free` are the positions (in the question) of the outputs that may change. */
export class ZoneBox {
  private readonly zone: AskedZone;
  /** Of the free outputs those that count for the zone: their place among the free ones. */
  private readonly moved: readonly number[];
  private readonly bags: readonly BagBox[];

  constructor(zone: AskedZone, radix: readonly number[], free: readonly number[], held: readonly number[]) {
    this.zone = zone;
    const own = zone.at.flatMap((position, n) => (free.includes(position) ? [n] : []));
    this.moved = own.map((n) => free.indexOf(itemAt(zone.at, n)));
    const { influences } = zone.light;
    const fixed = zone.at.flatMap((position, n) => {
      const level = levelOf(itemAt(held, position), itemAt(radix, position));
      return own.includes(n) || level === 0 ? [] : [[itemAt(influences, n), level] as const];
    });
    this.bags = Array.from({ length: zone.light.bags }, (_, bag) => {
      const steps = own.map((n) =>
        partOf(bag, itemAt(influences, n), levelOf(1, itemAt(radix, itemAt(zone.at, n)))),
      );
      return new BagBox(zone, bag, fixed, steps);
    });
  }

  /** Adds to `least`, by the minute, what the zone costs at least. */
  addBound(least: Float64Array, lo: readonly number[], hi: readonly number[]): void {
    const { ask } = this.zone;
    if (this.bags.length === 0) return;
    const from = this.moved.map((n) => itemAt(lo, n));
    const width = this.moved.map((n) => itemAt(hi, n) - itemAt(lo, n));
    for (const bag of this.bags) bag.look(from, width);
    if (ask.kind === 'dark') {
      put(least, LEAK, Math.max(...this.bags.map(({ level }) => darkExcess(level[0]))));
    } else this.addLit(least, ask);
  }

  private addLit(least: Float64Array, ask: LitAsk): void {
    let [direction, contrast, outside, none] = [0, 0, 0, true];
    const lacks: [number, number, number] = [0, 0, 0];
    for (const { level: all, angle, ratio: best, room } of this.bags) {
      const lack = angle > OTHER_SIDE ? LACK_ALL : lackOf(all[1], ask.low, room);
      put(least, UNLIT, lack);
      if (lack > 0) continue;
      none = false;
      // Where this bag is not reached, more light is missing than `least` says, which comes first: so it is.
      const level = [Math.max(all[0], leastLit(ask.low, room)), all[1]] as const;
      direction = Math.max(direction, begun(angle - ANGLE_MOST, 100));
      contrast = Math.max(contrast, contrastExcessOf(best, ask));
      outside = Math.max(outside, leastOver(level, ask, levelExcess));
      const [side, ratioLack] = lackOfRoomOf(angle, best, ask);
      lacks[0] = Math.max(lacks[0], side);
      lacks[1] = Math.max(lacks[1], ratioLack);
      lacks[2] = Math.max(lacks[2], leastOver(level, ask, lackOfBand));
    }
    put(least, DIRECTION, direction);
    put(least, CONTRAST, contrast);
    put(least, LEVEL, outside);
    put(least, TIGHT, none ? TIGHT_ALL : tightOf(lacks));
  }
}

function put(score: Float64Array, part: number, value: number): void {
  score[part] = itemAt(score, part) + value;
}

/** The least of a measure that falls toward the middle of the band and rises from there. */
function leastOver(
  [from, to]: Between,
  { low, high }: LitAsk,
  measure: (level: number, low: number, high: number) => number,
): number {
  const middle = Math.sqrt(Math.max(1, low) * high);
  if (from <= middle && middle <= to) return 0;
  return measure(to < middle ? to : from, low, high);
}

/** What a bag can get in a box. */
class BagBox {
  /** Hundredths of a lux. */
  level: Between = [0, 0];
  /** The least between pull and side, hundredths of a degree; 0 for upright. */
  angle = 0;
  /** The best contrast, or for upright the least imbalance, hundredths. */
  ratio = 0;
  readonly room: number;

  private readonly ask: Ask;
  private readonly base: BagPart;
  private readonly points: readonly PointParts[];
  private readonly pull: Zonotope;
  private readonly faces: readonly FacePair[];

  constructor(
    { ask, light }: AskedZone,
    bag: number,
    fixed: readonly (readonly [Influence, number])[],
    steps: readonly BagPart[],
  ) {
    this.ask = ask;
    this.room = itemAt(light.room, bag);
    this.base = sumOf([roomOf(light, bag), ...fixed.map(([from, level]) => partOf(bag, from, level))]);
    this.points = steps.map(({ points }) => points);
    this.pull = new Zonotope(this.base.row, steps);
    this.faces = pairsOf(ask).map(([a, b]) => new FacePair(a, b, this.base.row, steps));
  }

  look(from: readonly number[], width: readonly number[]): void {
    this.level = levelsIn(this.base.points, this.points, from, width);
    if (this.ask.kind === 'dark') return;
    const { side } = this.ask;
    if (side) {
      this.angle = this.pull.leastAngle(from, width, side);
      this.ratio = itemAt(this.faces, 0).most(from, width) + 1;
    } else this.ratio = Math.max(...this.faces.map((pair) => pair.leastUneven(from, width))) - 1;
  }
}

/** The pairs of opposite faces that matter to an ask. */
function pairsOf(ask: Ask): (readonly [number, number])[] {
  if (ask.kind === 'dark') return [];
  if (ask.side) return [[ask.side.face, ask.side.opposite]];
  return Array.from({ length: STEADY_FACES / 2 }, (_, n) => [FACES + 2 * n, FACES + 2 * n + 1] as const);
}

/** A pull in plan: toward the right, toward the back. */
type Pull = readonly [x: number, y: number];

/** All pulls of a box: a base and so much of each output's own pull. */
class Zonotope {
  private readonly base: Pull;
  private readonly own: readonly Pull[];
  /** Turned into the upper half of the plane, in the order of their directions. */
  private readonly edges: readonly { readonly n: number; readonly turned: boolean; readonly at: Pull }[];

  constructor(base: Float64Array, steps: readonly BagPart[]) {
    this.base = pullOf(base);
    this.own = steps.map(({ row }) => pullOf(row));
    this.edges = this.own
      .map(([x, y], n) => {
        const turned = y < 0 || (y === 0 && x < 0);
        return { n, turned, at: turned ? ([-x, -y] as const) : ([x, y] as const) };
      })
      .sort((a, b) => Math.atan2(a.at[1], a.at[0]) - Math.atan2(b.at[1], b.at[0]));
  }

  /** The least angle to a side, hundredths of a degree. */
  leastAngle(from: readonly number[], width: readonly number[], side: Side): number {
    const corners = this.corners(from, width);
    if (corners.some((a, n) => crosses(a, itemAt(corners, (n + 1) % corners.length), side))) return 0;
    return Math.max(0, Math.min(...corners.map((corner) => angleOff(corner, 0, side))) - 1);
  }

  /** The corners of the box's pulls, in order round it. */
  private corners(from: readonly number[], width: readonly number[]): Pull[] {
    let [x, y] = this.base;
    this.own.forEach(([ownX, ownY], n) => {
      x += itemAt(from, n) * ownX;
      y += itemAt(from, n) * ownY;
    });
    const edges = this.edges.filter(({ n }) => itemAt(width, n) > 0);
    for (const { n, turned, at } of edges) {
      if (!turned) continue;
      x -= itemAt(width, n) * at[0];
      y -= itemAt(width, n) * at[1];
    }
    const corners: Pull[] = [];
    for (const way of [1, -1]) {
      for (const { n, at } of edges) {
        corners.push([x, y]);
        x += way * itemAt(width, n) * at[0];
        y += way * itemAt(width, n) * at[1];
      }
    }
    return corners.length > 0 ? corners : [[x, y]];
  }
}

const pullOf = (row: Float64Array): Pull => [itemAt(row, VECTOR), itemAt(row, VECTOR + 1)];

/** Whether the stretch between two pulls meets the half line toward a side. */
function crosses([ax, ay]: Pull, [bx, by]: Pull, { normal: [nx, ny] }: Side): boolean {
  const [turnA, turnB] = [ax * ny - ay * nx, bx * ny - by * nx];
  const [alongA, alongB] = [ax * nx + ay * ny, bx * nx + by * ny];
  if (turnA * turnB > 0) return false;
  if (turnA === turnB) return Math.max(alongA, alongB) > 0;
  return alongA + (turnA / (turnA - turnB)) * (alongB - alongA) > 0;
}

/** Two opposite faces: how much greater the one can be than the other. */
class FacePair {
  private readonly first: readonly number[];
  private readonly second: readonly number[];
  private readonly base: readonly [number, number];
  /** Outputs in the order in which they raise the ratio of the first face to the second. */
  private readonly order: readonly number[];

  constructor(first: number, second: number, base: Float64Array, steps: readonly BagPart[]) {
    this.base = [itemAt(base, first), itemAt(base, second)];
    this.first = steps.map(({ row }) => itemAt(row, first));
    this.second = steps.map(({ row }) => itemAt(row, second));
    const lean = (n: number): number => Math.atan2(itemAt(this.first, n), itemAt(this.second, n));
    this.order = steps.map((_, n) => n).sort((a, b) => lean(b) - lean(a));
  }

  /** The greatest ratio of the first face to the second, hundredths. */
  most(from: readonly number[], width: readonly number[]): number {
    const [a, b] = this.extreme(this.order, from, width, (a, b, x, y) => x * b > a * y);
    return ratio(a, b);
  }

  /** The least that the greater is over the less, hundredths. */
  leastUneven(from: readonly number[], width: readonly number[]): number {
    const most = this.most(from, width);
    if (most <= 100) {
      const [a, b] = this.extreme(this.order, from, width, (a, b, x, y) => x * b > a * y);
      return a > 0 || b > 0 ? ratio(b, a) : 100;
    }
    const [a, b] = this.extreme([...this.order].reverse(), from, width, (a, b, x, y) => x * b < a * y);
    return a > b ? ratio(a, b) : 100;
  }

  /** Both faces with outputs added as long as they help. */
  private extreme(
    order: readonly number[],
    from: readonly number[],
    width: readonly number[],
    helps: (a: number, b: number, x: number, y: number) => boolean,
  ): readonly [number, number] {
    let [a, b] = this.base;
    from.forEach((digit, n) => {
      a += digit * itemAt(this.first, n);
      b += digit * itemAt(this.second, n);
    });
    for (const n of order) {
      const [x, y] = [itemAt(this.first, n), itemAt(this.second, n)];
      if (!helps(a, b, x, y) && a + b > 0) break;
      a += itemAt(width, n) * x;
      b += itemAt(width, n) * y;
    }
    return [a, b];
  }
}

/** What an influence gives a bag at a level of 0–16. */
function partOf(bag: number, { means, points }: Influence, level: number): BagPart {
  const scaled = (values: Int32Array): Float64Array => Float64Array.from(values, (value) => value * level);
  return { row: scaled(itemAt(means, bag)), points: pointParts(scaled(itemAt(points, bag))) };
}

/** What the room alone gives a bag. */
function roomOf({ base, columns }: AskedZone['light'], bag: number): BagPart {
  const length = POINT_LENGTH * POINTS;
  return {
    row: base.means.slice(bag * columns, (bag + 1) * columns),
    points: pointParts(base.points.slice(bag * length, (bag + 1) * length)),
  };
}

function sumOf(parts: readonly BagPart[]): BagPart {
  const add = (pick: (part: BagPart) => Float64Array): Float64Array => {
    const sum = pick(itemAt(parts, 0)).slice();
    for (const part of parts.slice(1)) {
      for (const [i, value] of pick(part).entries()) sum[i] = itemAt(sum, i) + value;
    }
    return sum;
  };
  const vectors = add(({ points }) => points.vectors);
  const points = { vectors, even: add(({ points: of }) => of.even), lengths: lengthsOf(vectors) };
  return { row: add(({ row }) => row), points };
}
