/**
 * Findings about finished tables: too large for the board's slot, a log that
 * would wrap soon.
 *
 * Always holds: facts only; the words are in `findings/`.
 */

import { itemAt } from '../../shared/assert.ts';
import { MAX_PATTERNS, MAX_TRACKS, TABLE_MAX_BYTES } from '../../shared/table.ts';
import type { ControllerTable, Timeline } from '../compiled.ts';
import { type Finding, NOWHERE } from '../findings/finding.ts';
import type { ResolvedPlan } from '../plan/plan.ts';

/** Records a day that every controller writes: light and proof. */
const DAILY_RECORDS = 2;
/** A log that lasts at least so long needs no word. */
const LOG_DAYS_WANTED = 42;

/** Findings for all tables, in controller order. */
export function checkTables(
  plan: ResolvedPlan,
  timeline: Timeline,
  tables: readonly ControllerTable[],
): Finding[] {
  return tables.flatMap((table) => [...tooLarge(plan, timeline, table), ...logWraps(plan, timeline, table)]);
}

function tooLarge(plan: ResolvedPlan, timeline: Timeline, table: ControllerTable): Finding[] {
  const limit = Math.min(TABLE_MAX_BYTES, table.board.memory.tableBytes);
  const { patterns, tracks } = table.table;
  const fits = table.costs.total <= limit && patterns.length <= MAX_PATTERNS && tracks.length <= MAX_TRACKS;
  if (fits) return [];
  const facts = {
    controller: table.name,
    bytes: table.costs.total,
    limit,
    costs: costLines(table),
    remedies: remedies(plan, timeline, table),
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

function costLines({ table, costs }: ControllerTable): string[] {
  const { parts } = costs;
  const entries = table.visits?.groups.reduce((sum, group) => sum + group.entries.length, 0) ?? 0;
  return [
    `${table.patterns.length} different days of light: ${parts.patterns} bytes`,
    `${table.tracks.length} courses over the weeks: ${parts.tracks} bytes`,
    `${table.bindings.length} outputs or sets of outputs with a course: ${parts.bindings} bytes`,
    `${entries} kinds of visits: ${parts.visits} bytes`,
    `${table.changes.length} clock changes: ${parts.offsets} bytes`,
    `frame, limits, hours, room: ${parts.frame + parts.limits + parts.pulse + parts.room} bytes`,
  ];
}

function remedies(plan: ResolvedPlan, timeline: Timeline, { table, controller }: ControllerTable): string[] {
  const advice = ['compile from a later day (`--from`): batches that are over are left out'];
  if (plan.batches.length > 1) advice.push('move a batch to a controller of its own');
  if (table.patterns.length > 8) advice.push('give zones that share lamps the same start and photoperiod');
  if (timeline.visits.some((visit) => visit.controller === controller)) {
    advice.push('let visits of all batches share weekdays (`on: [Tue, Fri]`)');
  }
  return advice;
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
