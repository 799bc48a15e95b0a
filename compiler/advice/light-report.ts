/**
 * What every zone gets, stage by stage, as plain data for the `light` command.
 *
 * Always holds: plain numbers, strings, arrays and objects only; degrees, lux, hours,
 * watts; a zone's figure is its worst bag's; the likely lean is marked as an estimate.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { Units } from '../../shared/measures.ts';
import type { CivilDay } from '../../shared/units.ts';
import { estimateLean } from '../lean/estimate.ts';
import type { LightField } from '../light/field.ts';
import { LUX_PER_MICROMOLE, molesOf } from '../light/photons.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { WANTS } from '../solve/score.ts';
import type { DayBlocks } from '../steer/block.ts';
import type { Steered } from '../steer/choose.ts';
import { type AtHeight, type Heights, worstHeights } from '../steer/heights.ts';
import { DARK_LUX } from '../steer/pull.ts';
import type { Course, Treatment } from '../steer/treatment.ts';
import { faultsOf } from './fault.ts';
import { stageName } from './stage.ts';
import { type LampDeed, lampDeeds } from './why.ts';

/** One stage of one batch in one zone while one thing is asked. */
export interface StageReport {
  readonly stage: string;
  readonly from: string;
  readonly days: number;
  /** The side asked for in degrees, `upright`, or `dark` for what leaks in while nothing is asked. */
  readonly asks: number | 'upright' | 'dark';
  /** Level on the strongest side, lx: least point, mean of the dimmest bag, of the brightest, greatest point. */
  readonly level: {
    readonly min: number;
    readonly mean: number;
    readonly brightest: number;
    readonly max: number;
  };
  /** Degrees between pull and side. */
  readonly off: number | undefined;
  /** Lit face over the opposite one. */
  readonly contrast: number | undefined;
  /** Greatest ratio of opposite faces. */
  readonly balance: number;
  readonly vectorScalar: number;
  /** Degrees above the level from which the light comes where it is steepest. */
  readonly elevation: number;
  /** Level (lx) and elevation (degrees) in the lowest fifth of the headspace, its middle and its top, worst bag. */
  readonly heights: Heights;
  readonly hoursPerDay: number;
  readonly luxHoursPerDay: number;
  readonly molPerDay: number;
  readonly met: boolean;
  /** Horizontal pull toward the light: x, y, lx. */
  readonly pull: readonly [number, number];
  /** Where better levels could not be ruled out: the first want they could meet better, and by how many of its steps. */
  readonly unproven: { readonly want: string; readonly by: number } | undefined;
  /** What each of the zone's lamps does meanwhile, and why the others are off. */
  readonly lamps: readonly LampDeed[];
  /** Each bag's own figures. */
  readonly bags: readonly BagReport[];
}

/** One bag: mean level, lx; degrees off and contrast for a lean; greatest ratio of opposite sides; whether it is reached. */
export interface BagReport {
  readonly bag: string;
  readonly reached: boolean;
  readonly level: number;
  readonly off: number | undefined;
  readonly contrast: number | undefined;
  readonly balance: number;
}

export interface ZoneReport {
  readonly zone: string;
  readonly shelf: string;
  readonly batch: string;
  readonly stages: readonly StageReport[];
  /** An estimate; undefined when the zone is never lit. */
  readonly likelyLean:
    | {
        readonly estimate: true;
        readonly from: string;
        readonly toward: number | undefined;
        /** Every seventh day and the last: angle from the vertical and drift of the tip, with the band. */
        readonly days: readonly LeanDay[];
        readonly filmDay: number | undefined;
        readonly filmEarliest: number | undefined;
        /** For a swing between two sides: drift toward the first, mm, as planned and with its first turn halved. */
        readonly swing: { readonly drift: number; readonly halved: number } | undefined;
      }
    | undefined;
}

export interface LeanDay {
  readonly day: number;
  readonly angle: number;
  readonly angleLow: number;
  readonly angleHigh: number;
  readonly drift: number;
  readonly driftLow: number;
  readonly driftHigh: number;
}

export interface OutputReport {
  readonly controller: string;
  readonly output: number;
  readonly lamps: readonly string[];
  readonly watts: number;
  readonly hours: number;
  readonly kWh: number;
}

export interface LightReport {
  readonly title: string;
  readonly units: Units;
  readonly luxPerMicromole: number;
  readonly darkMost: number;
  readonly zones: readonly ZoneReport[];
  readonly outputs: readonly OutputReport[];
  readonly kWh: number;
  readonly shelves: readonly ShelfDrawing[];
}

/** What a drawing of a shelf from above needs, mm. */
export interface ShelfDrawing {
  readonly name: string;
  readonly width: number;
  readonly depth: number;
  readonly bags: readonly { readonly name: string; readonly x: number; readonly y: number }[];
  readonly lamps: readonly {
    readonly name: string;
    readonly x: readonly [number, number];
    readonly y: readonly [number, number];
  }[];
  readonly screens: readonly {
    readonly x: readonly [number, number];
    readonly y: readonly [number, number];
  }[];
  readonly zones: readonly {
    readonly name: string;
    readonly x: readonly [number, number];
    readonly y: readonly [number, number];
  }[];
}

/** Makes the report of a steered plan. */
export function lightReport(
  plan: ResolvedPlan,
  field: LightField,
  steered: Steered,
  luxPerMicromole: number = LUX_PER_MICROMOLE,
): LightReport {
  const outputs = outputReports(plan, field, steered.days);
  return {
    title: plan.title,
    units: plan.units,
    luxPerMicromole,
    darkMost: DARK_LUX,
    zones: steered.courses.map((course) =>
      zoneReport(plan, field, steered.treatments, course, luxPerMicromole),
    ),
    outputs,
    kWh: round(
      outputs.reduce((sum, output) => sum + output.kWh, 0),
      3,
    ),
    shelves: plan.shelves.map((_, index) => drawShelf(plan, index)),
  };
}

function zoneReport(
  plan: ResolvedPlan,
  field: LightField,
  treatments: readonly Treatment[],
  course: Course,
  luxPerMicromole: number,
): ZoneReport {
  const zone = itemAt(plan.zones, course.zone);
  const lean = estimateLean(plan, course, treatments);
  return {
    zone: zone.name,
    shelf: itemAt(plan.shelves, zone.shelf).name,
    batch: itemAt(plan.batches, course.batch).name,
    stages: stageReports(plan, field, treatments, course, luxPerMicromole),
    likelyLean: lean && {
      estimate: true,
      from: isoDate(lean.firstDay),
      toward: lean.toward,
      days: leanDays(lean),
      filmDay: lean.filmDay,
      filmEarliest: lean.filmEarliest,
      swing: lean.swing && { drift: round(lean.swing.drift, 1), halved: round(lean.swing.halved, 1) },
    },
  };
}

/** Treatments of one stage and ask, with when they happen. */
interface Group {
  readonly treatments: Treatment[];
  readonly days: Set<CivilDay>;
  minutes: number;
  luxMinutes: number;
}

const asksOf = ({ ask }: Treatment): StageReport['asks'] =>
  ask.kind === 'dark' ? 'dark' : (ask.side?.azimuth ?? 'upright');

function groupsOf(treatments: readonly Treatment[], course: Course): Group[] {
  const groups = new Map<string, Group>();
  for (const step of course.steps) {
    const treatment = itemAt(treatments, step.treatment);
    const key = `${treatment.stage} ${asksOf(treatment)}`;
    const group = groups.get(key) ?? { treatments: [], days: new Set(), minutes: 0, luxMinutes: 0 };
    groups.set(key, group);
    if (!group.treatments.includes(treatment)) group.treatments.push(treatment);
    group.days.add(step.day);
    group.minutes += treatment.figures.litMinutes;
    group.luxMinutes += treatment.figures.luxMinutes;
  }
  return [...groups.values()];
}

function stageReport(
  plan: ResolvedPlan,
  field: LightField,
  group: Group,
  luxPerMicromole: number,
): StageReport {
  const all = group.treatments;
  const first = itemAt(all, 0);
  const figures = all.map((treatment) => treatment.figures);
  const most = (values: readonly (number | undefined)[]): number | undefined =>
    values.reduce(
      (top, value) => (value === undefined || (top !== undefined && top >= value) ? top : value),
      undefined,
    );
  const least = (values: readonly (number | undefined)[]): number | undefined => {
    const found = most(values.map((value) => (value === undefined ? undefined : -value)));
    return found === undefined ? undefined : -found;
  };
  const firstDay = itemAt(
    [...group.days].sort((a, b) => a - b),
    0,
  );
  const luxHours = group.luxMinutes / 60 / group.days.size;
  const main = all.reduce((top, one) => (one.count * one.minutes > top.count * top.minutes ? one : top));
  return {
    stage: stageName(plan, first),
    from: isoDate(firstDay),
    days: group.days.size,
    asks: asksOf(first),
    level: {
      min: round(Math.min(...figures.map(({ level }) => level.min)), 1),
      mean: round(Math.min(...figures.map(({ level }) => level.low)), 1),
      brightest: round(Math.max(...figures.map(({ level }) => level.high)), 1),
      max: round(Math.max(...figures.map(({ level }) => level.max)), 1),
    },
    off: rounded(most(figures.map(({ direction }) => direction)), 2),
    contrast: rounded(least(figures.map(({ contrast }) => contrast)), 2),
    balance: round(Math.max(...figures.map(({ imbalance }) => imbalance)), 2),
    vectorScalar: round(main.figures.vectorScalar, 2),
    elevation: round(main.figures.elevation, 1),
    heights: roundedHeights(worstHeights(figures.map(({ heights }) => heights))),
    hoursPerDay: round(group.minutes / 60 / group.days.size, 2),
    luxHoursPerDay: round(luxHours, 0),
    molPerDay: round(molesOf(luxHours, luxPerMicromole), 3),
    met: all.every((treatment) => faultsOf(treatment).length === 0),
    pull: [round(main.figures.pull[0], 1), round(main.figures.pull[1], 1)],
    unproven: unprovenOf(all),
    lamps: lampDeeds(plan, field, main),
    bags: bagReports(plan, main),
  };
}

/** The gap in the most important want, there the widest. */
function unprovenOf(all: readonly Treatment[]): StageReport['unproven'] {
  const gaps = all.flatMap(({ gap }) => gap ?? []);
  const [first] = gaps.sort((a, b) => a.part - b.part || b.by - a.by);
  return first && { want: itemAt(WANTS, first.part), by: round(first.by, 0) };
}

function bagReports(plan: ResolvedPlan, { zone, figures }: Treatment): BagReport[] {
  return figures.bags.map((bag, n) => ({
    bag: itemAt(itemAt(plan.zones, zone).places, n).name,
    reached: bag.reached,
    level: round(bag.mean, 1),
    off: rounded(bag.direction, 2),
    contrast: rounded(bag.contrast, 2),
    balance: round(bag.imbalance, 2),
  }));
}

/** The stages of a batch in a zone. */
export function stageReports(
  plan: ResolvedPlan,
  field: LightField,
  treatments: readonly Treatment[],
  course: Course,
  luxPerMicromole: number = LUX_PER_MICROMOLE,
): StageReport[] {
  return groupsOf(treatments, course).map((group) => stageReport(plan, field, group, luxPerMicromole));
}

function roundedHeights({ lowest, middle, top }: Heights): Heights {
  const at = ({ level, elevation }: AtHeight): AtHeight => ({
    level: round(level, 1),
    elevation: rounded(elevation, 1),
  });
  return { lowest: at(lowest), middle: at(middle), top: at(top) };
}

function leanDays(lean: NonNullable<ReturnType<typeof estimateLean>>): LeanDay[] {
  return lean.angle.flatMap((angle, index) => {
    if (index % 7 !== 6 && index !== lean.angle.length - 1) return [];
    const drift = itemAt(lean.drift, index);
    return [
      {
        day: index + 1,
        angle: round(angle.mid, 1),
        angleLow: round(angle.low, 1),
        angleHigh: round(angle.high, 1),
        drift: round(drift.mid, 1),
        driftLow: round(drift.low, 1),
        driftHigh: round(drift.high, 1),
      },
    ];
  });
}

function outputReports(plan: ResolvedPlan, field: LightField, days: readonly DayBlocks[]): OutputReport[] {
  const minutes = new Map<number, { on: number; full: number }>();
  for (const { blocks } of days) {
    for (const block of blocks) {
      const key = block.controller * 256 + block.output;
      const known = minutes.get(key) ?? { on: 0, full: 0 };
      known.on += block.length;
      known.full += (block.length * block.level) / 16;
      minutes.set(key, known);
    }
  }
  return field.outputs.map((output) => {
    const burnt = minutes.get(output.controller * 256 + output.number) ?? { on: 0, full: 0 };
    return {
      controller: itemAt(plan.controllers, output.controller).name,
      output: output.number,
      lamps: output.lamps.map((lamp) => itemAt(plan.lamps, lamp).name),
      watts: output.watts,
      hours: round(burnt.on / 60, 2),
      kWh: round((output.watts * burnt.full) / 60_000, 3),
    };
  });
}

function drawShelf(plan: ResolvedPlan, index: number): ShelfDrawing {
  const shelf = itemAt(plan.shelves, index);
  const zones = plan.zones.filter((zone) => zone.shelf === index);
  const span = (a: number, b: number): readonly [number, number] => [Math.min(a, b), Math.max(a, b)];
  return {
    name: shelf.name,
    width: shelf.width,
    depth: shelf.depth,
    bags: zones.flatMap(({ places }) => places.map(({ name, x, y }) => ({ name, x, y }))),
    zones: zones.map(({ name, x, y }) => ({ name, x: [x[0], x[1]], y: [y[0], y[1]] })),
    lamps: plan.lamps
      .filter((lamp) => lamp.shelf === index)
      .map(({ name, shape }) => {
        const [a, b] = shape.kind === 'strip' ? [shape.from, shape.to] : [shape.at, shape.at];
        return { name, x: span(a[0], b[0]), y: span(a[1], b[1]) };
      }),
    screens: plan.screens
      .filter((screen) => screen.shelf === index)
      .map(({ from, to }) => ({ x: span(from[0], to[0]), y: span(from[1], to[1]) })),
  };
}

function round(value: number, digits: number): number {
  const scale = 10 ** digits;
  // Adding zero turns −0 into 0.
  return Math.round(value * scale) / scale + 0;
}

const rounded = (value: number | undefined, digits: number): number | undefined =>
  value === undefined ? undefined : round(value, digits);
