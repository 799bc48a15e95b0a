/**
 * One zone under one pattern or under several in turn: what it costs, part by part.
 *
 * Always holds: angles and ratios are of the light summed over the minutes; missing
 * light, level and dark count for the minutes each pattern burns; a zone's figure is
 * that of its worst bag among those that are reached. A bag is reached when some
 * pattern lifts it over the floor and its pull is nearer to the side asked for than to
 * any other of the four.
 */

import { itemAt } from '../../shared/assert.ts';
import type { AskedZone } from './asked.ts';
import type { PatternLight } from './patterns.ts';
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
  lackOfBand,
  lackOfRoom,
  levelExcess,
  OTHER_SIDE,
  TIGHT,
  TIGHT_ALL,
  tightOf,
  UNLIT,
} from './score.ts';

type LitAsk = Ask & { readonly kind: 'lit' };

/** A pattern of a zone and how long it burns. */
export interface ZonePart {
  readonly pattern: number;
  readonly minutes: number;
}

/** Cost by the minute of one pattern burnt alone, kept with the zone. */
export function lookCost(zone: AskedZone, pattern: number): Float64Array {
  const known = zone.memo.costs.get(pattern);
  if (known !== undefined) return known;
  const cost = new Float64Array(LENGTH);
  addZoneCost(cost, zone, [{ pattern, minutes: 1 }]);
  zone.memo.costs.set(pattern, cost);
  return cost;
}

/** Adds what a zone costs under patterns in turn. */
export function addZoneCost(score: Float64Array, zone: AskedZone, parts: readonly ZonePart[]): void {
  const { light, ask } = zone;
  if (light.bags === 0) return;
  if (ask.kind === 'dark') {
    for (const { pattern, minutes } of parts) {
      add(score, LEAK, minutes * darkExcess(Math.max(...light.of(pattern).levels)));
    }
    return;
  }
  const lights = parts.map(({ pattern }) => light.of(pattern));
  addLitCost(score, zone, ask, parts, lights);
}

function add(score: Float64Array, part: number, value: number): void {
  score[part] = itemAt(score, part) + value;
}

/** The worst of the reached bags so far. */
interface Worst {
  direction: number;
  contrast: number;
  readonly lacks: [direction: number, contrast: number, level: number];
  reached: boolean;
}

function addLitCost(
  score: Float64Array,
  { light }: AskedZone,
  ask: LitAsk,
  parts: readonly ZonePart[],
  lights: readonly PatternLight[],
): void {
  const { bags, columns } = light;
  const total = parts.reduce((sum, { minutes }) => sum + minutes, 0);
  const rows = rowsOf(parts, lights);
  const levels = parts.map(() => 0);
  const worst: Worst = { direction: 0, contrast: 0, lacks: [0, 0, 0], reached: false };
  for (let bag = 0; bag < bags; bag++) {
    const at = bag * columns;
    const angle = ask.side ? angleOff(rows, at, ask.side) : 0;
    const room = itemAt(light.room, bag);
    const lacks = lights.map((one) => lackOf(itemAt(one.levels, bag), ask.low, room));
    if (angle > OTHER_SIDE || !lacks.includes(0)) {
      const missing = lacks.map((lack) => (angle > OTHER_SIDE ? LACK_ALL : lack));
      missing.forEach((lack, n) => {
        add(score, UNLIT, lack * itemAt(parts, n).minutes);
      });
      continue;
    }
    worst.reached = true;
    lacks.forEach((lack, n) => {
      const { minutes } = itemAt(parts, n);
      add(score, UNLIT, lack * minutes);
      if (lack > 0) return;
      const level = itemAt(itemAt(lights, n).levels, bag);
      levels[n] = Math.max(itemAt(levels, n), levelExcess(level, ask.low, ask.high));
      worst.lacks[2] = Math.max(worst.lacks[2], lackOfBand(level, ask.low, ask.high));
    });
    worst.direction = Math.max(worst.direction, begun(angle - ANGLE_MOST, 100));
    worst.contrast = Math.max(worst.contrast, contrastExcess(rows, at, ask));
    const [direction, contrast] = lackOfRoom(rows, at, ask);
    worst.lacks[0] = Math.max(worst.lacks[0], direction);
    worst.lacks[1] = Math.max(worst.lacks[1], contrast);
  }
  add(score, DIRECTION, worst.direction * total);
  add(score, CONTRAST, worst.contrast * total);
  levels.forEach((level, n) => {
    add(score, LEVEL, level * itemAt(parts, n).minutes);
  });
  add(score, TIGHT, tightness(worst) * total);
}

const tightness = ({ reached, lacks }: Worst): number => (reached ? tightOf(lacks) : TIGHT_ALL);

/** The rows summed over the minutes. */
function rowsOf(parts: readonly ZonePart[], lights: readonly PatternLight[]): Float64Array {
  const first = itemAt(lights, 0).rows;
  if (parts.length === 1) return first;
  const rows = new Float64Array(first.length);
  lights.forEach((light, n) => {
    const { minutes } = itemAt(parts, n);
    for (let i = 0; i < rows.length; i++) rows[i] = (rows[i] ?? 0) + minutes * (light.rows[i] ?? 0);
  });
  return rows;
}
