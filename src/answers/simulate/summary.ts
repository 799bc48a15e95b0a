/**
 * What a simulated span gave each zone: hours of light by side, day by day.
 *
 * Always holds: the hours of a zone and day add up to the day's length.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import type { LightField } from '../../../compiler/light/field.ts';
import { bagsOn, batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { roomLightOn } from '../../../compiler/plan/room-light.ts';
import { firstInstant, wallClock } from '../../../compiler/plan/utc-offsets.ts';
import { pullOn } from '../../../compiler/steer/pull.ts';
import { itemAt } from '../../../shared/assert.ts';
import { toHex } from '../../../shared/hex.ts';
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
  /** When it was not dark, in order; UTC seconds, the second end not included. */
  readonly lit: readonly (readonly [number, number])[];
}

/** Every zone's days within [from, until), zones in plan order. */
export function simulatedDays(
  { plan, timeline }: SoundPlan,
  runs: readonly SimulatedRun[],
  from: UtcSeconds,
  until: UtcSeconds,
): SimulatedDay[] {
  const lines = withRoom(mergeTraces(runs, plan.controllers.length), plan, timeline.offsets, from, until);
  const pieces = cutByDay(lines, timeline.offsets, from, until);
  const words = new Words(timeline.field);
  const runsOn = runsPastMidnight(timeline);
  return plan.zones.flatMap((_, zone) =>
    [...pieces].flatMap(([day, parts]) => zoneDay(plan, words, zone, day, parts, runsOn)),
  );
}

/** Whether a zone's light of a day runs on into the next one. */
function runsPastMidnight({ demands }: SoundPlan['timeline']): (zone: number, day: CivilDay) => boolean {
  const found = new Set(
    demands.flatMap(({ day, span, demands: all }) =>
      all.filter(({ lit }) => lit[1] > span[1]).map(({ zone }) => `${zone}/${day}`),
    ),
  );
  return (zone, day) => found.has(`${zone}/${day}`);
}

interface Shown {
  readonly levels: readonly Uint8Array[];
  /** The plan's background entries that are on. */
  readonly background: readonly number[];
}
interface Piece extends Shown {
  readonly from: number;
  readonly seconds: number;
}
interface ShownFrom extends Shown {
  readonly utc: number;
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

/** The lines, with one more wherever light that comes anyway begins or ends. */
function withRoom(
  lines: readonly { readonly utc: number; readonly levels: readonly Uint8Array[] }[],
  plan: SoundPlan['plan'],
  offsets: SoundPlan['timeline']['offsets'],
  from: UtcSeconds,
  until: UtcSeconds,
): ShownFrom[] {
  const days: number[] = [];
  for (let day = wallClock(offsets, from).day; firstInstant(offsets, day, 0) < until; day++) days.push(day);
  const spans = days.flatMap((day) => roomLightOn(plan, offsets, day));
  const edges = spans.flatMap((one) => [one.from, one.until]).filter((at) => at > from && at < until);
  const times = [...new Set([...lines.map(({ utc }) => utc), ...edges])].sort((a, b) => a - b);
  let next = 0;
  return times.map((utc): ShownFrom => {
    while (next + 1 < lines.length && itemAt(lines, next + 1).utc <= utc) next++;
    const on = spans.filter((one) => one.from <= utc && utc < one.until).map(({ entry }) => entry);
    return { utc, levels: lines[next]?.levels ?? [], background: on };
  });
}

/** What a zone gets in a word; worked out once for each thing shown. */
class Words {
  private readonly field: LightField;
  private readonly known = new Map<string, string>();

  constructor(field: LightField) {
    this.field = field;
  }

  of(occupancy: ReturnType<typeof bagsOn>, zone: number, { levels, background }: Shown): string {
    const key = `${zone}|${occupancy}|${background}|${levels.map(toHex)}`;
    const known = this.known.get(key) ?? pullWord(pullOn(this.field, occupancy, zone, levels, background));
    this.known.set(key, known);
    return known;
  }
}

function cutByDay(
  lines: readonly ShownFrom[],
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
    const { levels, background } = lines[next] ?? { levels: [], background: [] };
    parts.push({ from: at, seconds: end - at, levels, background });
    days.set(day, parts);
    at = end;
  }
  return days;
}

function zoneDay(
  plan: SoundPlan['plan'],
  words: Words,
  zone: number,
  day: CivilDay,
  parts: readonly Piece[],
  runsOn: (zone: number, day: CivilDay) => boolean,
): SimulatedDay[] {
  // Light of a batch's last evening may run on into a day on which nothing stands there any more;
  // what neighbours shine into an empty zone is nobody's.
  const after = batchOn(plan, zone, day) === undefined;
  const on = after ? civilDay(day - 1) : day;
  const index = batchOn(plan, zone, on);
  if (index === undefined || (after && !runsOn(zone, on))) return [];
  const occupancy = bagsOn(plan, on);
  const seconds = new Map<string, number>();
  if (after && parts.every((part) => words.of(occupancy, zone, { ...part, background: [] }) === 'dark')) {
    return [];
  }
  const lit: [number, number][] = [];
  for (const part of parts) {
    const word = words.of(occupancy, zone, part);
    if (word !== 'dark') lit.push([part.from, part.from + part.seconds]);
    seconds.set(word, (seconds.get(word) ?? 0) + part.seconds);
  }
  const stage = stageOn(stayIn(plan, index, zone), on)?.name;
  return [{ zone, day, batch: itemAt(plan.batches, index).name, stage, seconds, lit }];
}
