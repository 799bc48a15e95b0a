/**
 * A second, slow reading of `table-format.md`: what a decoded table asks for at
 * an instant, found by looking at minutes one by one. Shares no code with the
 * controllers; written to be obviously right.
 */

import { itemAt } from '../../../shared/assert.ts';
import { DARK, type Pattern, type Run, type Table, type Track } from '../../../shared/table.ts';

/** Wall clock minus UTC, minutes, at a UTC minute counted from the base day. */
function offsetAt(table: Table, minute: number): number {
  let quarters = table.initialQuarters;
  for (const change of table.changes) if (change.minute <= minute) quarters = change.quarters;
  return 15 * quarters;
}

/** First UTC minute at which the clock has reached wall minute `wall`, found by looking. */
function firstReaching(table: Table, steady: number | undefined, wall: number): number {
  const offset = (minute: number): number => (steady === undefined ? offsetAt(table, minute) : 15 * steady);
  const widest = 15 * 128;
  let minute = wall - widest;
  while (minute + offset(minute) < wall) minute++;
  return minute;
}

function expandRun(run: Run): number[] {
  return Array.from({ length: run.days }, (_, day) =>
    run.kind === 'plain'
      ? run.pattern
      : itemAt(run.patterns, Math.floor(day / run.period) % run.patterns.length),
  );
}

/** Patterns day by day, from the track's first day. */
function expandTrack(track: Track): number[] {
  return track.flatMap(expandRun);
}

/** Level minute by minute from a pattern's start. */
function expandPattern(pattern: Pattern): number[] {
  return pattern.segments.flatMap((segment) => Array<number>(segment.length).fill(segment.level));
}

/** A naive evaluator of one table. */
export class NaiveTable {
  private readonly tracks: number[][];
  private readonly levels: number[][];
  private readonly reached = new Map<string, number>();

  constructor(private readonly table: Table) {
    this.tracks = table.tracks.map(expandTrack);
    this.levels = table.patterns.map(expandPattern);
  }

  private first(steady: number | undefined, wall: number): number {
    const key = `${steady} ${wall}`;
    const known = this.reached.get(key) ?? firstReaching(this.table, steady, wall);
    this.reached.set(key, known);
    return known;
  }

  private bindingLevel(which: number, t: number): number {
    const binding = itemAt(this.table.bindings, which);
    const steady = binding.steadyQuarters;
    const minute = Math.floor(t / 60) - 1440 * this.table.baseDay;
    const wall = minute + (steady === undefined ? offsetAt(this.table, minute) : 15 * steady);
    const today = Math.floor(wall / 1440);
    for (const day of [today + 1, today, today - 1, today - 2]) {
      const number = itemAt(this.tracks, binding.track)[day - binding.startDay] ?? DARK;
      if (number === DARK) continue;
      const pattern = itemAt(this.table.patterns, number);
      const start = this.first(steady, 1440 * day + pattern.start);
      if (minute < start) continue;
      const levels = itemAt(this.levels, number);
      if (!pattern.continuous) return levels[minute - start] ?? 0;
      if (minute >= this.first(steady, 1440 * (day + 1) + pattern.start)) continue;
      return itemAt(levels, Math.min(minute - start, levels.length - 1));
    }
    return 0;
  }

  /** Level 0–16 of `output` at UTC second `t`, lag included. */
  level(output: number, t: number): number {
    let greatest = 0;
    this.table.bindings.forEach((binding, which) => {
      if ((binding.outputs >> (output - 1)) & 1) {
        greatest = Math.max(greatest, this.bindingLevel(which, t - (output - 1)));
      }
    });
    return greatest;
  }

  /** The eight output bytes at `t`, by the rounding rule: floor((255·l + 8) / 16). */
  bytes(t: number): number[] {
    return [1, 2, 3, 4, 5, 6, 7, 8].map((output) => Math.floor((255 * this.level(output, t) + 8) / 16));
  }
}
