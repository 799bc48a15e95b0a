/**
 * Findings about finished tables: light too large for the board's slot, reminders
 * that do not all fit, a log that would wrap soon.
 *
 * Always holds: facts only; what is offered as a help was tried and helps.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { MAX_PATTERNS, MAX_TRACKS, TABLE_MAX_BYTES } from '../../shared/table.ts';
import { civilDay, minutes } from '../../shared/units.ts';
import type { ControllerTable, Timeline } from '../compiled.ts';
import type { Report } from '../findings/collector.ts';
import type { CostFacts, FactsOf, TableRemedy } from '../findings/facts.ts';
import type { ResolvedPlan } from '../plan/plan.ts';
import { type VisitOccurrence, visitsByController } from '../timeline/visit.ts';

/** Records a day that every controller writes: light and proof. */
const DAILY_RECORDS = 2;
/** A log that lasts at least so long needs no word. */
const LOG_DAYS_WANTED = 42;

/** Findings for all tables, in controller order. `fits` tells whether a changed plan would fit its boards. */
export function checkTables(
  plan: ResolvedPlan,
  timeline: Timeline,
  tables: readonly ControllerTable[],
  fits: (plan: ResolvedPlan) => boolean,
  report: Report,
): void {
  const visits = visitsByController(timeline.visits);
  for (const table of tables) {
    tooLarge(plan, table, fits, report);
    remindersEnd(plan, table, report);
    logWraps(plan, visits.get(table.controller) ?? [], table, report);
  }
}

/** Visits that found no room: until when the board reminds. */
function remindersEnd(plan: ResolvedPlan, table: ControllerTable, report: Report): void {
  const { name, fits, remindersUntil, controller } = table;
  if (!fits || remindersUntil === undefined) return;
  const facts = { controller: name, until: isoDate(remindersUntil) };
  report('visit-reminders-end', plan.visits.span, facts, undefined, String(controller));
}

function tooLarge(
  plan: ResolvedPlan,
  table: ControllerTable,
  fits: (plan: ResolvedPlan) => boolean,
  report: Report,
): void {
  if (table.fits) return;
  report('table-too-large', itemAt(plan.controllers, table.controller).span, {
    controller: table.name,
    bytes: table.costs.total,
    limit: Math.min(TABLE_MAX_BYTES, table.board.memory.tableBytes),
    tooMany: tooManyOf(table),
    costs: costsOf(table),
    remedies: remedies(plan, fits),
  });
}

/** Of what there is more than a table can number. */
function tooManyOf({ table }: ControllerTable): FactsOf['table-too-large']['tooMany'] {
  return [
    { part: 'patterns' as const, count: table.patterns.length, most: MAX_PATTERNS },
    { part: 'tracks' as const, count: table.tracks.length, most: MAX_TRACKS },
  ].filter(({ count, most }) => count > most);
}

/** What takes the room, the most first. A table that does not fit has no visits. */
function costsOf({ table, costs }: ControllerTable): CostFacts[] {
  const { parts } = costs;
  const each: CostFacts[] = [
    { part: 'patterns', count: table.patterns.length, bytes: parts.patterns },
    { part: 'tracks', count: table.tracks.length, bytes: parts.tracks },
    { part: 'bindings', count: table.bindings.length, bytes: parts.bindings },
    { part: 'offsets', count: table.changes.length, bytes: parts.offsets },
    { part: 'frame', count: 1, bytes: parts.frame + parts.limits + parts.pulse + parts.room },
  ];
  return each.sort((a, b) => b.bytes - a.bytes);
}

/** Most batches whose absence is tried, the newest first. */
const TRIED_MOST = 6;

/** Changes that were tried and make the tables fit. */
function remedies(plan: ResolvedPlan, fits: (plan: ResolvedPlan) => boolean): TableRemedy[] {
  const help: TableRemedy[] = [];
  const day = laterDay(plan, fits);
  if (day !== undefined) help.push({ kind: 'later-day', day: isoDate(civilDay(day)) });
  if (fits(withOneDay(plan))) help.push({ kind: 'same-start' });
  const batches = plan.batches.length > 1 ? [...plan.batches].reverse().slice(0, TRIED_MOST) : [];
  const alone = batches.find((batch) =>
    fits({ ...plan, batches: plan.batches.filter((one) => one !== batch) }),
  );
  if (alone) help.push({ kind: 'own-controller', batch: alone.name });
  return help;
}

/** The first day at which a batch is over and the rest fits; each day is tried by halving. */
function laterDay(plan: ResolvedPlan, fits: (plan: ResolvedPlan) => boolean): number | undefined {
  const days = [...new Set(plan.batches.flatMap(({ zones }) => zones.map(({ free }) => free)))]
    .sort((a, b) => a - b)
    .slice(0, -1);
  const from = (day: number): ResolvedPlan => ({
    ...plan,
    batches: plan.batches
      .map((batch) => ({ ...batch, zones: batch.zones.filter(({ free }) => free > day) }))
      .filter(({ zones }) => zones.length > 0),
  });
  let [low, high] = [0, days.length];
  while (low < high) {
    const middle = Math.floor((low + high) / 2);
    if (fits(from(itemAt(days, middle)))) high = middle;
    else low = middle + 1;
  }
  return days[low];
}

/** All lit stages with the start and photoperiod of the first. */
function withOneDay(plan: ResolvedPlan): ResolvedPlan {
  const lights = plan.batches.flatMap(({ zones }) =>
    zones.flatMap(({ stages }) => stages.flatMap(({ light }) => light ?? [])),
  );
  const [light] = lights;
  if (!light) return plan;
  const same = { start: minutes(light.start), photoperiod: minutes(light.photoperiod) };
  return {
    ...plan,
    batches: plan.batches.map((batch) => ({
      ...batch,
      zones: batch.zones.map((stay) => ({
        ...stay,
        stages: stay.stages.map((stage) => (stage.light ? { ...stage, light: same } : stage)),
      })),
    })),
  };
}

function logWraps(
  plan: ResolvedPlan,
  own: readonly VisitOccurrence[],
  table: ControllerTable,
  report: Report,
): void {
  const records = new Set(own.map((visit) => `${visit.day} ${visit.at} ${visit.kind}`)).size;
  const days = new Set(own.map((visit) => visit.day));
  const span = Math.max(1, Math.max(...days, 0) - Math.min(...days, Number.POSITIVE_INFINITY) + 1);
  const perDay = DAILY_RECORDS + (days.size === 0 ? 0 : records / span);
  const lasts = Math.floor(table.board.memory.logRecords / perDay);
  if (lasts >= LOG_DAYS_WANTED) return;
  const facts = { controller: table.name, days: lasts, perDay: Math.round(perDay * 10) / 10 };
  report('log-short', itemAt(plan.controllers, table.controller).span, facts);
}
