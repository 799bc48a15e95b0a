/**
 * What every zone gets, stage by stage, as plain data for the `light` command.
 *
 * Always holds: plain numbers, strings, arrays and objects only; degrees, lux, hours,
 * watts; a zone's figure is its worst bag's; the likely lean is marked as an estimate.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import type { Units } from '../../shared/measures.ts';
import { estimateLean, type KnownLeans } from '../lean/estimate.ts';
import type { LightField } from '../light/field.ts';
import { LUX_PER_MICROMOLE } from '../light/photons.ts';
import { stayIn } from '../plan/on-a-day.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import type { DayBlocks } from '../steer/block.ts';
import type { Steered } from '../steer/choose.ts';
import { DARK_LUX } from '../steer/pull.ts';
import type { Course, Treatment } from '../steer/treatment.ts';
import { round } from './round.ts';
import { darkStages, type StageReport, stageReports } from './stage-report.ts';

export interface ZoneReport {
  readonly zone: string;
  readonly shelf: string;
  readonly batch: string;
  readonly stages: readonly StageReport[];
  /** Names of the stages without light. */
  readonly darkStages: readonly string[];
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
        /** The first stage in which the film is lifted, and its first day; undefined without lifts. */
        readonly lifts: { readonly stage: string; readonly from: string } | undefined;
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
  const leans: KnownLeans = new Map();
  return {
    title: plan.title,
    units: plan.units,
    luxPerMicromole,
    darkMost: DARK_LUX,
    zones: steered.courses.map((course) =>
      zoneReport(plan, field, steered.treatments, course, luxPerMicromole, leans),
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
  leans: KnownLeans,
): ZoneReport {
  const zone = itemAt(plan.zones, course.zone);
  const lean = estimateLean(plan, course, treatments, leans);
  return {
    zone: zone.name,
    shelf: itemAt(plan.shelves, zone.shelf).name,
    batch: itemAt(plan.batches, course.batch).name,
    stages: stageReports(plan, field, treatments, course, luxPerMicromole),
    darkStages: darkStages(plan, course),
    likelyLean: lean && {
      estimate: true,
      from: isoDate(lean.firstDay),
      toward: lean.toward,
      days: leanDays(lean),
      filmDay: lean.filmDay,
      filmEarliest: lean.filmEarliest,
      lifts: firstLifts(plan, course),
      swing: lean.swing && { drift: round(lean.swing.drift, 1), halved: round(lean.swing.halved, 1) },
    },
  };
}

function firstLifts(
  plan: ResolvedPlan,
  { batch, zone }: Course,
): { stage: string; from: string } | undefined {
  const stage = stayIn(plan, batch, zone)?.stages.find(({ lift }) => lift !== undefined);
  return stage && { stage: stage.name, from: isoDate(stage.from) };
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
