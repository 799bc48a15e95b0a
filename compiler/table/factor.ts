/**
 * Lanes of day patterns → patterns, tracks and bindings, each said once.
 *
 * Always holds: the bindings, played, give every lane back exactly; the result
 * is the smallest of a fixed set of ways to cut the lanes at their dark gaps,
 * and the same on every machine.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import { type Binding, DARK, type Pattern, type Track } from '../../shared/table.ts';
import type { Lane } from './day-patterns.ts';
import { runSize, shortestRuns } from './runs.ts';

export interface FactoredSchedule {
  readonly patterns: readonly Pattern[];
  readonly tracks: readonly Track[];
  readonly bindings: readonly Binding[];
}

/** Dark gaps of at least so many days may end a track and begin another. */
const GAPS = [1, 2, 4, 8, 15, 29, Number.POSITIVE_INFINITY];

/** The smallest schedule part for `lanes`, days counted from `baseDay`. */
export function factorLanes(lanes: readonly Lane[], baseDay: number): FactoredSchedule {
  const patterns = new PatternList();
  const numbered = lanes.map((lane) => numberDays(lane, patterns));
  let best: { size: number; schedule: FactoredSchedule } | undefined;
  for (const gap of GAPS) {
    const schedule = bind(
      numbered.flatMap((lane) => cutAtGaps(lane, gap)),
      patterns.all,
      baseDay,
    );
    const size = scheduleSize(schedule);
    if (!best || size < best.size) best = { size, schedule };
  }
  return best?.schedule ?? { patterns: [], tracks: [], bindings: [] };
}

/** Distinct patterns, numbered by first use. */
class PatternList {
  readonly all: Pattern[] = [];
  private readonly known = new Map<string, number>();

  numberOf(pattern: Pattern): number {
    const name = JSON.stringify([pattern.start, pattern.continuous, pattern.segments]);
    const found = this.known.get(name);
    if (found !== undefined) return found;
    this.known.set(name, this.all.length);
    this.all.push(pattern);
    return this.all.length - 1;
  }
}

/** A lane, or a stretch of one: pattern numbers from `first` on, dark days as DARK. */
interface Stretch {
  readonly output: number;
  readonly steadyQuarters: number | undefined;
  readonly first: number;
  readonly days: readonly number[];
}

function numberDays(lane: Lane, patterns: PatternList): Stretch {
  const lit = [...lane.byDay.keys()].sort((a, b) => a - b);
  const first = itemAt(lit, 0);
  const days: number[] = new Array(itemAt(lit, lit.length - 1) - first + 1).fill(DARK);
  for (const day of lit) days[day - first] = patterns.numberOf(sure(lane.byDay.get(day)));
  return { output: lane.output, steadyQuarters: lane.steadyQuarters, first, days };
}

function cutAtGaps(lane: Stretch, gap: number): Stretch[] {
  const parts: Stretch[] = [];
  let begin = 0;
  let dark = 0;
  lane.days.forEach((pattern, at) => {
    if (pattern === DARK) {
      dark++;
      return;
    }
    if (dark >= gap) {
      parts.push({ ...lane, first: lane.first + begin, days: lane.days.slice(begin, at - dark) });
      begin = at;
    }
    dark = 0;
  });
  parts.push({ ...lane, first: lane.first + begin, days: lane.days.slice(begin) });
  return parts;
}

function bind(parts: readonly Stretch[], patterns: readonly Pattern[], baseDay: number): FactoredSchedule {
  const tracks: Track[] = [];
  const trackOf = new Map<string, number>();
  const bindings = new Map<string, Binding>();
  for (const part of parts) {
    const days = part.days.join();
    let track = trackOf.get(days);
    if (track === undefined) {
      track = tracks.length;
      trackOf.set(days, track);
      tracks.push(shortestRuns(part.days));
    }
    const startDay = part.first - baseDay;
    const name = `${track} ${startDay} ${part.steadyQuarters}`;
    const outputs = (bindings.get(name)?.outputs ?? 0) | (1 << (part.output - 1));
    bindings.set(name, { outputs, track, startDay, steadyQuarters: part.steadyQuarters });
  }
  return { patterns, tracks, bindings: [...bindings.values()] };
}

/** Bytes of the patterns, tracks and bindings sections. */
export function scheduleSize(schedule: FactoredSchedule): number {
  const patterns = schedule.patterns.reduce((sum, { segments }) => sum + 2 + 2 * segments.length, 0);
  const tracks = schedule.tracks.flat().reduce((sum, run) => sum + runSize(run), 0);
  const bindings = schedule.bindings.reduce(
    (sum, { steadyQuarters }) => sum + (steadyQuarters === undefined ? 4 : 5),
    0,
  );
  return patterns + tracks + bindings;
}
