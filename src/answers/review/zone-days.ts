/**
 * Zone by zone and day by day: hours of light planned and delivered, from which
 * side, the dark kept, and the light that was lost by cause.
 *
 * Always holds: seconds of a day add up to the day; light that nobody can know
 * of is counted as unknown, neither delivered nor lost.
 */

import { batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { firstInstant, type UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import { litFromLux } from '../../../compiler/steer/pull.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { type Point, Walker } from './timeline.ts';
import type { PlanLight, ZoneLight } from './zone-light.ts';

/** Why planned light did not come. */
export type LossCause = 'off' | 'none' | 'run';

export interface SideHours {
  readonly planned: number;
  readonly delivered: number;
}

/** Hours of one zone on one civil day. */
export interface ZoneDay {
  readonly zone: number;
  readonly day: CivilDay;
  /** Index into the plan's batches. */
  readonly batch: number;
  readonly stage: string;
  readonly planned: number;
  /** Planned, and it came. */
  readonly delivered: number;
  /** Planned, and nobody knows. */
  readonly unknown: number;
  /** Not planned, but it was lit. */
  readonly extra: number;
  readonly darkPlanned: number;
  readonly darkKept: number;
  /** In a dark stage, lit by other zones' lamps as the table itself has it; of the hours of dark, neither kept nor extra. */
  readonly stray: number;
  /** Planned light that did not come, by why. */
  readonly lost: Readonly<Record<LossCause, number>>;
  readonly sides: Readonly<Record<string, SideHours>>;
  /** lx·h */
  readonly luxPlanned: number;
  readonly luxDelivered: number;
  /** Hours of the day not read yet. */
  readonly unread: number;
}

/** Lines of every controller, in plan order. */
export interface Lines {
  readonly planned: readonly (readonly Point[])[];
  readonly shown: readonly (readonly Point[])[];
}

const HOUR = 3600;

/** Every day in [from, until) on which a zone has bags. */
export function zoneDays(
  plan: ResolvedPlan,
  light: PlanLight,
  lines: Lines,
  offsets: UtcOffsets,
  from: CivilDay,
  until: CivilDay,
): ZoneDay[] {
  return plan.zones.flatMap((_, zone) => oneZone({ plan, light, lines, offsets }, zone, from, until));
}

interface Context {
  readonly plan: ResolvedPlan;
  readonly light: PlanLight;
  readonly lines: Lines;
  readonly offsets: UtcOffsets;
}

function oneZone(context: Context, zone: number, from: CivilDay, until: CivilDay): ZoneDay[] {
  const { plan, lines } = context;
  const planned = lines.planned.map((line) => new Walker(line));
  const shown = lines.shown.map((line) => new Walker(line));
  const days: ZoneDay[] = [];
  for (let day = from as number; day < until; day++) {
    const batch = batchOn(plan, zone, day);
    if (batch !== undefined) days.push(oneDay(context, zone, civilDay(day), batch, planned, shown));
  }
  return days;
}

function oneDay(
  context: Context,
  zone: number,
  day: CivilDay,
  batch: number,
  planned: readonly Walker[],
  shown: readonly Walker[],
): ZoneDay {
  const { plan, light, offsets } = context;
  const stage = stageOn(stayIn(plan, batch, zone), day);
  const reached = light.controllers(zone, day);
  const sums = new Sums(litFromLux(stage?.level?.[0] ?? 0), !stage?.light);
  const begin = firstInstant(offsets, day, 0);
  const end = firstInstant(offsets, day + 1, 0);
  const edges = edgesWithin(context.lines, reached, begin, end);
  for (let i = 0; i + 1 < edges.length; i++) {
    const at = itemAt(edges, i);
    const asked = levelsAt(planned, reached, at);
    const got = levelsAt(shown, reached, at);
    const wanted = light.at(zone, day, asked.levels ?? []);
    const given = got.levels && light.at(zone, day, got.levels);
    sums.add((itemAt(edges, i + 1) - at) / HOUR, wanted, given, got.why);
  }
  return { zone, day, batch, stage: stage?.name ?? '', ...sums.result() };
}

/** Instants within a day at which anything that reaches a zone changes. */
function edgesWithin(lines: Lines, reached: readonly number[], begin: number, end: number): number[] {
  const edges = new Set([begin, end]);
  for (const controller of reached) {
    for (const line of [lines.planned[controller] ?? [], lines.shown[controller] ?? []]) {
      for (let i = firstAfter(line, begin); i < line.length && itemAt(line, i).at < end; i++)
        edges.add(itemAt(line, i).at);
    }
  }
  return [...edges].sort((a, b) => a - b);
}

/** Index of the first point after an instant. */
function firstAfter(line: readonly Point[], at: number): number {
  let [low, high] = [0, line.length];
  while (low < high) {
    const middle = (low + high) >> 1;
    if (itemAt(line, middle).at <= at) low = middle + 1;
    else high = middle;
  }
  return low;
}

const NOTHING = new Uint8Array(8);

/** Levels of the controllers that reach a zone; unknown when any of them is. */
function levelsAt(
  walkers: readonly Walker[],
  reached: readonly number[],
  at: number,
): { levels: Uint8Array[] | undefined; why: Point['why'] } {
  const points = walkers.map((walker, index) => (reached.includes(index) ? walker.at(at) : undefined));
  const mine = reached.map((index) => points[index]);
  const missing = mine.find((point) => !point?.levels);
  if (mine.some((point) => !point?.levels)) return { levels: undefined, why: missing?.why ?? 'unknown' };
  const why = mine.find((point) => point?.why === 'off' || point?.why === 'none')?.why ?? 'run';
  return { levels: points.map((point) => point?.levels ?? NOTHING), why };
}

type Totals = Omit<ZoneDay, 'zone' | 'day' | 'batch' | 'stage'>;

class Sums {
  private readonly least: number;
  private readonly isDarkStage: boolean;
  private readonly sum = {
    ...{ planned: 0, delivered: 0, unknown: 0, extra: 0, darkPlanned: 0, darkKept: 0, stray: 0, unread: 0 },
    ...{ luxPlanned: 0, luxDelivered: 0 },
  };
  private readonly lost: Record<LossCause, number> = { off: 0, none: 0, run: 0 };
  private readonly sides: Record<string, { planned: number; delivered: number }> = {};

  /** @param least lx from which it counts as light */
  constructor(least: number, isDarkStage: boolean) {
    this.least = least;
    this.isDarkStage = isDarkStage;
  }

  /** Takes so many hours of one state. `given` undefined: unknown, or not read yet. */
  add(hours: number, wanted: ZoneLight, given: ZoneLight | undefined, why: Point['why']): void {
    const { sum } = this;
    if (!given && why === 'unread') {
      sum.unread += hours;
      return;
    }
    const wantsLight = wanted.lux >= this.least;
    const isLit = given !== undefined && given.lux >= this.least;
    // What leaks in from a neighbour by plan counts on both sides.
    sum.luxPlanned += wanted.lux * hours;
    if (given) sum.luxDelivered += given.lux * hours;
    if (!wantsLight || this.isDarkStage) {
      sum.darkPlanned += hours;
      if (isLit && wantsLight) sum.stray += hours;
      else if (isLit) sum.extra += hours;
      else if (given) sum.darkKept += hours;
      if (isLit) this.side(given.from).delivered += hours;
      return;
    }
    sum.planned += hours;
    if (!given) {
      sum.unknown += hours;
      return;
    }
    this.side(wanted.from).planned += hours;
    if (isLit) {
      sum.delivered += hours;
      this.side(given.from).delivered += hours;
    } else this.lost[why === 'off' || why === 'none' ? why : 'run'] += hours;
  }

  private side(word: string): { planned: number; delivered: number } {
    this.sides[word] ??= { planned: 0, delivered: 0 };
    return this.sides[word];
  }

  result(): Totals {
    return { ...this.sum, lost: this.lost, sides: this.sides };
  }
}
