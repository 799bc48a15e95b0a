/**
 * Resolved plan → every visit of the grow, with its day and minute: recurring
 * lifts and looks, turns, the open harvest; moved out of the days away, spread
 * above `most` bags a day, gathered into one walk a day.
 *
 * Always holds: no zone has two visits of one kind on one day; visits lie on
 * days on which the zone has its bags; a stage's (or the stay's) first day has
 * no visit of its own.
 */

import { sure } from '../../shared/assert.ts';
import { weekday } from '../../shared/civil.ts';
import { VISIT_KINDS } from '../../shared/table.ts';
import { civilDay, minutes } from '../../shared/units.ts';
import { isInStage, stayIn } from '../plan/on-a-day.ts';
import { controllerOfZone } from '../plan/on-the-rack.ts';
import type { BatchZone, ResolvedBatch, ResolvedPlan, ResolvedStage, VisitRule } from '../plan/plan.ts';
import { gatherWalks, keepAway, type Moved, movesInAll, spreadBags } from './arrange.ts';
import type { VisitOccurrence } from './visit.ts';

export interface VisitPlan {
  /** Sorted by day, minute, zone, kind. */
  readonly visits: readonly VisitOccurrence[];
  /** What was moved, dropped or left over the limit, for the findings. */
  readonly moved: readonly Moved[];
}

/** Every visit of the plan. */
export function planVisits(plan: ResolvedPlan): VisitPlan {
  const wanted = plan.batches.flatMap((batch, index) =>
    batch.zones.flatMap((stay) => stayVisits(plan, batch, index, stay)),
  );
  const stay = (visit: VisitOccurrence): BatchZone => stayOf(plan, visit);
  const away = keepAway(wanted, plan.visits.away, stay);
  const spread = spreadBags(plan, away.visits, stay);
  const visits = gatherWalks(spread.visits);
  return { visits: [...visits].sort(inOrder), moved: movesInAll(away.moved, spread.moved) };
}

/** Every visit of the plan, in order (see `planVisits` for what had to move). */
export function visitOccurrences(plan: ResolvedPlan): readonly VisitOccurrence[] {
  return planVisits(plan).visits;
}

function inOrder(a: VisitOccurrence, b: VisitOccurrence): number {
  const kind = VISIT_KINDS.indexOf(a.kind) - VISIT_KINDS.indexOf(b.kind);
  return a.day - b.day || a.at - b.at || a.zone - b.zone || kind;
}

function stayOf(plan: ResolvedPlan, visit: VisitOccurrence): BatchZone {
  return sure(stayIn(plan, visit.batch, visit.zone));
}

function stayVisits(
  plan: ResolvedPlan,
  batch: ResolvedBatch,
  index: number,
  stay: BatchZone,
): VisitOccurrence[] {
  const common = { controller: controllerOfZone(plan, stay.zone), zone: stay.zone, batch: index };
  // A zone that bags were moved to may come in the middle of a stage.
  const visits = stay.stages
    .flatMap((stage) => [
      ...liftVisits(stage).map((due) => ({ ...common, kind: 'lift' as const, ...due })),
      ...lookVisits(stage).map((due) => ({ ...common, kind: 'look' as const, ...due })),
      ...turnVisits(plan, stage).map((due) => ({ ...common, kind: 'turn' as const, ...due })),
    ])
    .filter(({ day }) => day > stay.enters);
  const looks = batchLooks(plan, stay).map((due) => ({ ...common, kind: 'look' as const, ...due }));
  const harvest = harvestVisit(plan, batch, stay).map((due) => ({
    ...common,
    kind: 'harvest' as const,
    ...due,
  }));
  return [...visits, ...looks, ...harvest];
}

type Due = Omit<VisitOccurrence, 'controller' | 'zone' | 'batch' | 'kind'>;

function due(
  day: number,
  { at, fixed }: Pick<VisitRule, 'at' | 'fixed'>,
  interval: number,
  weekdays?: readonly number[],
): Due {
  return { day: civilDay(day), at, fixed, days: 1, interval, weekdays, side: undefined };
}

/** The days of a rule in (first, end): the first day itself has none. */
export function recur(rule: VisitRule, first: number, end: number): Due[] {
  const dues: Due[] = [];
  if (rule.recur.kind === 'every') {
    const { days } = rule.recur;
    for (let day = first + days; day < end; day += days) dues.push(due(day, rule, days));
    return dues;
  }
  const on = rule.recur.on;
  for (let day = first + 1; day < end; day++) {
    if (on.includes(weekday(civilDay(day))))
      dues.push(due(day, rule, Math.max(1, Math.round(7 / on.length)), on));
  }
  return dues;
}

function liftVisits(stage: ResolvedStage): Due[] {
  return stage.lift ? recur(stage.lift, stage.from, stage.from + stage.days) : [];
}

function lookVisits(stage: ResolvedStage): Due[] {
  return stage.look ? recur(stage.look, stage.from, stage.from + stage.days) : [];
}

/** Looks of the whole stay, outside the stages that have their own. */
function batchLooks(plan: ResolvedPlan, stay: BatchZone): Due[] {
  const rule = plan.visits.look;
  if (!rule) return [];
  const own = stay.stages.filter((stage) => stage.look);
  return recur(rule, stay.enters, stay.free).filter(({ day }) => !own.some((stage) => isInStage(stage, day)));
}

function turnVisits(plan: ResolvedPlan, stage: ResolvedStage): Due[] {
  const { lean } = stage;
  if (lean.kind !== 'sides' || lean.by !== 'turning' || lean.sides.length < 2) return [];
  const rules = plan.visits;
  const at = (stage.lift ?? stage.look ?? rules.look)?.at ?? rules.hours[0]?.[0] ?? minutes(1080);
  const turns: Due[] = [];
  for (let turn = 1; turn * lean.every < stage.days; turn++) {
    const side = lean.sides[turn % lean.sides.length];
    turns.push({ ...due(stage.from + turn * lean.every, { at, fixed: false }, lean.every), side });
  }
  return turns;
}

/** One visit, open over the harvest days on which the bags are still in the zone. */
function harvestVisit(plan: ResolvedPlan, batch: ResolvedBatch, stay: BatchZone): Due[] {
  const rule = plan.visits.harvest;
  if (!rule) return [];
  const from = Math.max(batch.sealed + rule.from, stay.enters);
  const days = Math.min(batch.sealed + rule.until, stay.free) - from;
  if (days < 1) return [];
  return [{ ...due(from, { at: rule.at, fixed: true }, 7), days }];
}
