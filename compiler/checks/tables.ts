/**
 * Findings about finished tables: light too large for the board's slot, reminders
 * that do not all fit, a log that would wrap soon.
 *
 * Always holds: facts only; what is offered as a help was tried and helps.
 */

import { itemAt } from '../../shared/assert.ts';
import { isoDate } from '../../shared/civil.ts';
import { TABLE_MAX_BYTES } from '../../shared/table.ts';
import { civilDay, minutes } from '../../shared/units.ts';
import type { ControllerTable, Timeline } from '../compiled.ts';
import { type Finding, NOWHERE } from '../findings/finding.ts';
import type { ResolvedPlan } from '../plan/plan.ts';

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
): Finding[] {
  return tables.flatMap((table) => [
    ...tooLarge(plan, table, fits),
    ...remindersEnd(plan, table),
    ...logWraps(plan, timeline, table),
  ]);
}

/** Visits that found no room: until when the board reminds. */
function remindersEnd(plan: ResolvedPlan, { name, fits, remindersUntil }: ControllerTable): Finding[] {
  if (!fits || remindersUntil === undefined) return [];
  const facts = { controller: name, until: isoDate(remindersUntil) };
  return [{ code: 'visit-reminders-end', severity: 'note', span: plan.visits.span, facts }];
}

function tooLarge(
  plan: ResolvedPlan,
  table: ControllerTable,
  fits: (plan: ResolvedPlan) => boolean,
): Finding[] {
  if (table.fits) return [];
  const limit = Math.min(TABLE_MAX_BYTES, table.board.memory.tableBytes);
  const facts = {
    controller: table.name,
    bytes: table.costs.total,
    limit,
    costs: costLines(table),
    remedies: remedies(plan, fits),
  };
  return [
    {
      code: 'table-too-large',
      severity: 'error',
      span: itemAt(plan.controllers, table.controller).span,
      facts,
    },
  ];
}

/** What takes the room, the most first. A table that does not fit has no visits. */
function costLines({ table, costs }: ControllerTable): string[] {
  const { parts } = costs;
  const lines: [number, string][] = [
    [parts.patterns, `${table.patterns.length} different days of light`],
    [parts.tracks, `${table.tracks.length} courses over the weeks`],
    [parts.bindings, `${table.bindings.length} outputs or sets of outputs with a course`],
    [parts.offsets, `${table.changes.length} clock changes`],
    [parts.frame + parts.limits + parts.pulse + parts.room, 'frame, limits, hours, room'],
  ];
  return lines.sort((a, b) => b[0] - a[0]).map(([bytes, what]) => `${what}: ${bytes} bytes`);
}

/** Most batches whose absence is tried, the newest first. */
const TRIED_MOST = 6;

/** Changes that were tried and make the tables fit. */
function remedies(plan: ResolvedPlan, fits: (plan: ResolvedPlan) => boolean): string[] {
  const help: string[] = [];
  const day = laterDay(plan, fits);
  if (day !== undefined)
    help.push(`from ${isoDate(civilDay(day))} on it fits, when batches are over that take room now`);
  if (fits(withOneDay(plan))) help.push('give all lit stages the same start and photoperiod');
  const batches = plan.batches.length > 1 ? [...plan.batches].reverse().slice(0, TRIED_MOST) : [];
  const alone = batches.find((batch) =>
    fits({ ...plan, batches: plan.batches.filter((one) => one !== batch) }),
  );
  if (alone) help.push(`put batch \`${alone.name}\` on a controller of its own`);
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
    if (fits(from(days[middle] ?? 0))) high = middle;
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

function logWraps(plan: ResolvedPlan, timeline: Timeline, table: ControllerTable): Finding[] {
  const own = timeline.visits.filter((visit) => visit.controller === table.controller);
  const records = new Set(own.map((visit) => `${visit.day} ${visit.at} ${visit.kind}`)).size;
  const days = new Set(own.map((visit) => visit.day));
  const span = Math.max(1, Math.max(...days, 0) - Math.min(...days, Number.POSITIVE_INFINITY) + 1);
  const perDay = DAILY_RECORDS + (days.size === 0 ? 0 : records / span);
  const lasts = Math.floor(table.board.memory.logRecords / perDay);
  if (lasts >= LOG_DAYS_WANTED) return [];
  const facts = { controller: table.name, days: lasts, perDay: Math.round(perDay * 10) / 10 };
  return [
    {
      code: 'log-short',
      severity: 'warning',
      span: plan.controllers[table.controller]?.span ?? NOWHERE,
      facts,
    },
  ];
}
