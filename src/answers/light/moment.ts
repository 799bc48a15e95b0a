/**
 * The rack at one minute of the grow: what the simulated controller's outputs
 * show, and the light that gives every bag.
 *
 * Always holds: the outputs are those the controller shows when it runs the
 * table, never the plan's; figures are worked out as the `light` command's are;
 * plain data only, so that a worker can hand it on.
 */

import type { ControllerTable, SoundPlan } from '../../../compiler/compiled.ts';
import type { Influence, ZoneField } from '../../../compiler/light/field.ts';
import { SCALAR } from '../../../compiler/light/row.ts';
import { bagsOn, batchOn, stageOn, stayIn } from '../../../compiler/plan/on-a-day.ts';
import { firstInstant } from '../../../compiler/plan/utc-offsets.ts';
import { FULL } from '../../../compiler/solve/patterns.ts';
import type { Ask } from '../../../compiler/solve/score.ts';
import { type Burning, lookAt, zoneFigures } from '../../../compiler/steer/figures.ts';
import { DARK_LUX } from '../../../compiler/steer/pull.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { CivilDay, UtcSeconds } from '../../../shared/units.ts';
import { type SimulatedRun, simulateController } from '../simulate/run.ts';

/** Full brightness of an output, as a controller shows it. */
const BRIGHTEST = 255;

/** What one source gives a bag, of all the light it gets. */
export interface LightShare {
  /** Name of the lamp, or of the background light. */
  readonly from: string;
  /** 0–1. */
  readonly share: number;
}

export interface BagMoment {
  readonly bag: string;
  /** Mean level over the headspace, lx, and at its points: x fastest, then y, then z (`CELLS`). */
  readonly level: number;
  readonly points: readonly number[];
  /** Degrees between pull and side, and contrast toward it; undefined where no side is asked for. */
  readonly off: number | undefined;
  readonly contrast: number | undefined;
  /** Greatest ratio of opposite sides. */
  readonly balance: number;
  /** Level part of the pull: x to the right, y to the back, lx. */
  readonly pull: readonly [number, number];
  readonly shares: readonly LightShare[];
}

/** How a bag's light stands to what is asked for. */
export type LightStanding = 'dark' | 'leak' | 'unlit' | 'below' | 'inside' | 'above';

export interface ZoneMoment {
  readonly zone: string;
  readonly batch: string;
  readonly stage: string | undefined;
  /** The side asked for in degrees, `upright`, or `dark`. */
  readonly asks: number | 'upright' | 'dark';
  /** Level asked for while it is lit, lx. */
  readonly band: readonly [number, number] | undefined;
  readonly bags: readonly (BagMoment & { readonly standing: LightStanding })[];
}

export interface RackMoment {
  readonly utc: UtcSeconds;
  /** Names of the lamps that burn. */
  readonly burning: readonly string[];
  /** Zones with bags, in plan order. */
  readonly zones: readonly ZoneMoment[];
}

/** What a controller's outputs show. */
export type Shown = Pick<SimulatedRun, 'table' | 'trace'>;

/** Days that were simulated, for this plan or others, by all that their outputs depend on. */
export type KnownDays = Map<string, SimulatedRun['trace']>;

/** One day on the simulated controllers, from the wall clock's midnight to the next; what is `known` is not simulated again. */
export function simulatedDay(plan: SoundPlan, day: CivilDay, known: KnownDays = new Map()): Shown[] {
  const { offsets } = plan.timeline;
  const [from, until] = [firstInstant(offsets, day, 0), firstInstant(offsets, day + 1, 0)];
  return plan.tables.map((table) => {
    const key = [from, until, table.board.id, ...whatItShows(table)].join();
    const trace = known.get(key) ?? simulateController(table, { first: day, from, until }, []).trace;
    known.set(key, trace);
    return { table, trace };
  });
}

/** The bytes of a table without the plan's digest and the checksum: a remark in the plan's text changes nothing else. */
function whatItShows({ encoded: { bytes } }: ControllerTable): number[] {
  return [...bytes.subarray(0, DIGEST_AT), ...bytes.subarray(DIGEST_AT + 4, -4)];
}

/** Where the plan's digest stands in a table (table-format.md, Frame). */
const DIGEST_AT = 7;

/** The rack at `minute` (by the wall clock) of a simulated day; of one shelf only where `shelf` names its index. */
export function rackMoment(
  sound: SoundPlan,
  runs: readonly Shown[],
  day: CivilDay,
  minute: number,
  shelf?: number,
): RackMoment {
  const { plan, timeline } = sound;
  const utc = firstInstant(timeline.offsets, day, minute);
  const burning = burningAt(sound, runs, utc);
  const occupancy = bagsOn(plan, day);
  const zones = plan.zones.flatMap((one, zone) => {
    if (shelf !== undefined && one.shelf !== shelf) return [];
    const zoneField = timeline.field.zone(occupancy, zone);
    return zoneField ? [zoneMoment(sound, zoneField, day, utc, burning)] : [];
  });
  const lit = burning.flatMap(([index]) => itemAt(timeline.field.outputs, index).lamps);
  return { utc, burning: lit.map((lamp) => itemAt(plan.lamps, lamp).name), zones };
}

/** The outputs that burn at an instant, by index into the field's, with their levels (0–16). */
export function burningAt(
  { plan, timeline }: SoundPlan,
  runs: readonly Shown[],
  utc: UtcSeconds,
): Burning['levels'] {
  const levels = levelsAt(runs, utc, plan.controllers.length);
  return timeline.field.outputs.flatMap((output, index) => {
    const level = levels[output.controller]?.[output.number - 1] ?? 0;
    return level === 0 ? [] : [[index, (level / BRIGHTEST) * FULL] as const];
  });
}

/** The instant in elapsed minutes, as the timeline counts them. */
export function elapsedAt({ timeline }: SoundPlan, utc: UtcSeconds): number | undefined {
  const first = timeline.demands[0];
  return first && first.span[0] + (utc - firstInstant(timeline.offsets, first.day, 0)) / 60;
}

/** The output bytes of each controller at an instant. */
function levelsAt(runs: readonly Shown[], utc: UtcSeconds, controllers: number): Uint8Array[] {
  const levels: Uint8Array[] = Array.from({ length: controllers }, () => new Uint8Array(8));
  for (const { table, trace } of runs) {
    const line = trace.findLast((one) => one.utc <= utc);
    if (line) levels[table.controller] = line.levels;
  }
  return levels;
}

/** What is asked for in a zone at an instant, and which background light is on. */
function askedAt(
  sound: SoundPlan,
  zone: number,
  utc: UtcSeconds,
): { ask: Ask; background: readonly number[] } {
  const dark = { ask: { kind: 'dark' } as const, background: [] };
  const even = elapsedAt(sound, utc);
  if (even === undefined) return dark;
  const { courses, treatments } = sound.timeline.steered;
  for (const course of courses) {
    if (course.zone !== zone) continue;
    const step = course.steps.find(({ from, to }) => from <= even && even < to);
    const treatment = step && treatments[step.treatment];
    if (treatment) return { ask: treatment.ask, background: treatment.background };
  }
  return dark;
}

function zoneMoment(
  sound: SoundPlan,
  zoneField: ZoneField,
  day: CivilDay,
  utc: UtcSeconds,
  levels: Burning['levels'],
): ZoneMoment {
  const { plan } = sound;
  const { zone } = zoneField;
  const { ask, background } = askedAt(sound, zone, utc);
  const burning = { minutes: 1, levels };
  const figures = zoneFigures(zoneField, ask, [burning], background);
  const batch = batchOn(plan, zone, day) ?? 0;
  const sources = sourcesOf(sound, bagsOn(plan, day), zoneField, levels, background);
  const bags = figures.bags.map((bag, n) => ({
    bag: itemAt(itemAt(plan.zones, zone).places, n).name,
    level: bag.mean,
    points: lookAt(zoneField, n, burning, background).levels,
    off: bag.direction,
    contrast: bag.contrast,
    balance: bag.imbalance,
    pull: bag.pull,
    shares: sharesOf(sources, n),
    standing: standingOf(ask, bag.mean, bag.reached),
  }));
  return {
    zone: itemAt(plan.zones, zone).name,
    batch: itemAt(plan.batches, batch).name,
    stage: stageOn(stayIn(plan, batch, zone), day)?.name,
    asks: ask.kind === 'dark' ? 'dark' : (ask.side?.azimuth ?? 'upright'),
    band: ask.kind === 'dark' ? undefined : [ask.low / 100, ask.high / 100],
    bags,
  };
}

function standingOf(ask: Ask, level: number, reached: boolean): LightStanding {
  if (ask.kind === 'dark') return level > DARK_LUX ? 'leak' : 'dark';
  if (!reached) return 'unlit';
  if (level * 100 < ask.low) return 'below';
  return level * 100 > ask.high ? 'above' : 'inside';
}

/** What gives a zone light, lamp by lamp, also of those on one output. */
interface Source {
  readonly from: string;
  readonly gives: Influence;
  /** 0–16 */
  readonly level: number;
}

function sourcesOf(
  { plan, timeline }: SoundPlan,
  occupancy: readonly number[],
  { zone, background: anyway }: ZoneField,
  levels: Burning['levels'],
  background: readonly number[],
): Source[] {
  const lit = levels.flatMap(([index, level]) =>
    itemAt(timeline.field.outputs, index).lamps.flatMap((lamp) => {
      const gives = timeline.field.lamp(occupancy, zone, lamp);
      return gives ? [{ from: itemAt(plan.lamps, lamp).name, gives, level }] : [];
    }),
  );
  const other = background.map((index) => ({
    ...{ from: itemAt(plan.background, index).name, gives: itemAt(anyway, index), level: FULL },
  }));
  return [...lit, ...other];
}

/** Where a bag's light comes from, the most first. */
function sharesOf(sources: readonly Source[], bag: number): LightShare[] {
  const all = sources
    .map(({ from, gives, level }) => ({ from, light: level * itemAt(itemAt(gives.means, bag), SCALAR) }))
    .filter(({ light }) => light > 0);
  const sum = all.reduce((total, { light }) => total + light, 0);
  return all.map(({ from, light }) => ({ from, share: light / sum })).sort((a, b) => b.share - a.share);
}
