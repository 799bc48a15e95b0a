/**
 * What a simulated span gave each zone: hours of light by side, day by day.
 *
 * Always holds: the hours of a zone and day add up to the day's length.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import type { LightField } from '../../../compiler/light/field.ts';
import { bagsOn, batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { firstInstant, wallClock } from '../../../compiler/plan/utc-offsets.ts';
import { pullOn } from '../../../compiler/steer/pull.ts';
import { itemAt } from '../../../shared/assert.ts';
import { type CivilDay, civilDay, type UtcSeconds } from '../../../shared/units.ts';
import { pullWord } from '../../words/sides.ts';
import type { SimulatedRun, TraceLine } from './run.ts';

/** Seconds by word (`dark`, `upright`, `left` …) of one zone on one civil day. */
export interface SimulatedDay {
  readonly zone: number;
  readonly day: CivilDay;
  /** Batch and stage there, when there is one. */
  readonly batch: string | undefined;
  readonly stage: string | undefined;
  readonly seconds: ReadonlyMap<string, number>;
}

/** Every zone's days within [from, until), zones in plan order. */
export function simulatedDays(
  { plan, timeline }: SoundPlan,
  runs: readonly SimulatedRun[],
  from: UtcSeconds,
  until: UtcSeconds,
): SimulatedDay[] {
  const pieces = cutByDay(mergeTraces(runs, plan.controllers.length), timeline.offsets, from, until);
  return plan.zones.flatMap((_, zone) =>
    [...pieces].flatMap(([day, parts]) => zoneDay(plan, timeline.field, zone, day, parts)),
  );
}

interface Piece {
  readonly seconds: number;
  readonly levels: readonly Uint8Array[];
}

/** All controllers' levels from each instant at which any changes. */
function mergeTraces(
  runs: readonly SimulatedRun[],
  controllers: number,
): { utc: number; levels: Uint8Array[] }[] {
  const lines = runs
    .flatMap(({ table, trace }) =>
      trace.map((line: TraceLine) => ({ ...line, controller: table.controller })),
    )
    .sort((a, b) => a.utc - b.utc);
  const merged: { utc: number; levels: Uint8Array[] }[] = [];
  let levels: Uint8Array[] = Array.from({ length: controllers }, () => new Uint8Array(8));
  for (const line of lines) {
    levels = levels.map((one, index) => (index === line.controller ? line.levels : one));
    const last = merged[merged.length - 1];
    if (last?.utc === line.utc) last.levels = levels;
    else merged.push({ utc: line.utc, levels });
  }
  return merged;
}

function cutByDay(
  lines: readonly { utc: number; levels: readonly Uint8Array[] }[],
  offsets: SoundPlan['timeline']['offsets'],
  from: UtcSeconds,
  until: UtcSeconds,
): Map<CivilDay, Piece[]> {
  const days = new Map<CivilDay, Piece[]>();
  let next = 0;
  let at = from as number;
  while (at < until) {
    while (next + 1 < lines.length && itemAt(lines, next + 1).utc <= at) next++;
    const day = civilDay(wallClock(offsets, at as UtcSeconds).day);
    const midnight = firstInstant(offsets, day + 1, 0);
    const change = lines[next + 1]?.utc ?? until;
    const end = Math.min(until, change, midnight > at ? midnight : until);
    const parts = days.get(day) ?? [];
    parts.push({ seconds: end - at, levels: lines[next]?.levels ?? [] });
    days.set(day, parts);
    at = end;
  }
  return days;
}

function zoneDay(
  plan: SoundPlan['plan'],
  field: LightField,
  zone: number,
  day: CivilDay,
  parts: readonly Piece[],
): SimulatedDay[] {
  // Light of a batch's last evening may run on into a day on which nothing stands there any more.
  const after = batchOn(plan, zone, day) === undefined;
  const on = after ? civilDay(day - 1) : day;
  const index = batchOn(plan, zone, on);
  if (index === undefined) return [];
  const occupancy = bagsOn(plan, on);
  const seconds = new Map<string, number>();
  for (const part of parts) {
    const word = pullWord(pullOn(field, occupancy, zone, part.levels));
    seconds.set(word, (seconds.get(word) ?? 0) + part.seconds);
  }
  if (after && [...seconds.keys()].every((word) => word === 'dark')) return [];
  const stage = stageOn(stayIn(plan, index, zone), on)?.name;
  return [{ zone, day, batch: itemAt(plan.batches, index).name, stage, seconds }];
}
