/**
 * Everything of one controller → its schedule table, decoded form.
 *
 * Always holds: the base day is the day before anything begins, so that every
 * offset change that matters comes after it; what the plan does not use takes
 * no bytes.
 */

import { itemAt } from '../../shared/assert.ts';
import type { Limits, Pattern, Pulse, RoomBand, Table, Visits } from '../../shared/table.ts';
import { civilDay, utcSeconds } from '../../shared/units.ts';
import { zonesOfController } from '../plan/on-the-rack.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { bandOfBoard } from '../plan/room-band.ts';
import { offsetsFor, type UtcOffsets } from '../plan/utc-offsets.ts';
import type { DayBlocks } from '../steer/block.ts';
import type { VisitOccurrence } from '../timeline/visit.ts';
import { type Lane, lanesOf } from './day-patterns.ts';
import { factorLanes } from './factor.ts';
import { type StayVisits, visitGroups } from './visit-groups.ts';

const DAY = 86_400;

export interface AssembleInput {
  readonly plan: ResolvedPlan;
  /** Index into the plan's controllers. */
  readonly controller: number;
  readonly days: readonly DayBlocks[];
  /** The place's offsets over all days. */
  readonly offsets: UtcOffsets;
  readonly visits: readonly VisitOccurrence[];
  /** First four bytes of the plan text's SHA-256. */
  readonly digest: number;
}

/** The table of one controller. */
export function assembleTable(input: AssembleInput): Table {
  const { plan, controller } = input;
  const lanes = lanesOf(controller, input.days, input.offsets);
  const stays = staysOf(input);
  const room = roomOf(plan, controller);
  const first = Math.min(
    ...lanes.flatMap((lane) => [...lane.byDay.keys()]),
    ...stays.map((stay) => stay.start),
  );
  const baseDay = Number.isFinite(first) ? first - 1 : 0;
  const end = lastDay(lanes, stays, baseDay) + 2;
  const offsets = offsetsFor(plan.timezone, utcSeconds(baseDay * DAY), utcSeconds(end * DAY));
  return {
    baseDay: civilDay(baseDay),
    digest: input.digest,
    initialQuarters: offsets.initialQuarters,
    changes: offsets.changes.map(({ at, quarters }) => ({ minute: at / 60 - baseDay * 1440, quarters })),
    ...factorLanes(lanes, baseDay),
    limits: limitsOf(plan, controller, lanes),
    visits: visitsOf(input, stays, baseDay),
    pulse: stays.length > 0 || room ? pulseOf(plan) : undefined,
    room,
  };
}

function staysOf({ plan, controller, visits }: AssembleInput): StayVisits[] {
  const zones = zonesOfController(plan, controller);
  const here = visits.filter((visit) => visit.controller === controller);
  return plan.batches.flatMap((batch, index) =>
    batch.zones.flatMap(({ zone }) => {
      const own = here.filter((visit) => visit.batch === index && visit.zone === zone);
      return own.length === 0
        ? []
        : [{ zoneBit: zones.indexOf(zone), start: Math.min(batch.sealed, itemAt(own, 0).day), visits: own }];
    }),
  );
}

function lastDay(lanes: readonly Lane[], stays: readonly StayVisits[], baseDay: number): number {
  const lit = lanes.flatMap((lane) => [...lane.byDay.keys()]);
  const due = stays.flatMap((stay) => stay.visits.map((visit) => visit.day + visit.days));
  return Math.max(baseDay, ...lit, ...due);
}

function visitsOf(input: AssembleInput, stays: readonly StayVisits[], baseDay: number): Visits | undefined {
  if (stays.length === 0) return undefined;
  const zoneCount = zonesOfController(input.plan, input.controller).length;
  return { zoneCount, groups: visitGroups(stays, baseDay) };
}

function pulseOf(plan: ResolvedPlan): Pulse {
  return {
    ...plan.visits.pulse,
    hours: plan.visits.hours.map(([from, until]) => [from as number, until as number]),
  };
}

function roomOf(plan: ResolvedPlan, controller: number): RoomBand | undefined {
  const band = bandOfBoard(plan, controller);
  return band && { low: Math.round(band.low * 16), high: Math.round(band.high * 16) };
}

/** Two hours above the longest planned stretch of light: only overlays and faults can reach it. */
function limitsOf(plan: ResolvedPlan, controller: number, lanes: readonly Lane[]): Limits | undefined {
  const { dwellSeconds } = itemAt(plan.controllers, controller).board.limits;
  const outputs = [...new Set(lanes.map((lane) => lane.output))];
  const longest = Math.max(
    0,
    ...outputs.map((output) => longestOn(lanes.filter((lane) => lane.output === output))),
  );
  const longestOnMinutes = longest === 0 || longest >= 1440 ? 0 : (Math.ceil(longest / 60) + 2) * 60;
  return dwellSeconds === 0 && longestOnMinutes === 0 ? undefined : { dwellSeconds, longestOnMinutes };
}

/** The longest unbroken stretch of light in an output's lanes, in minutes of the wall clock. */
function longestOn(lanes: readonly Lane[]): number {
  const lit = lanes
    .flatMap((lane) => [...lane.byDay].flatMap(([day, pattern]) => litMinutes(day, pattern)))
    .sort((a, b) => a[0] - b[0]);
  let longest = 0;
  let [from, until] = [Number.NEGATIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const [start, end] of lit) {
    if (start > until) from = start;
    until = Math.max(until, end);
    longest = Math.max(longest, until - from);
  }
  return longest;
}

function litMinutes(day: number, pattern: Pattern): [number, number][] {
  const lit: [number, number][] = [];
  let at = day * 1440 + pattern.start;
  for (const { length, level } of pattern.segments) {
    if (level > 0) lit.push([at, at + length]);
    at += length;
  }
  return lit;
}
