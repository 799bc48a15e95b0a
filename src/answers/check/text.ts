/**
 * What `check` says about a plan beyond its findings, for people and machines.
 *
 * Always holds: both say the same; nothing is said of a plan with errors but
 * the findings and their count.
 */

import { darkStages, stageReports } from '../../../compiler/advice/stage-report.ts';
import type { Compiled, ControllerTable } from '../../../compiler/compiled.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import type { Assumption, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { entersOn } from '../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { list } from '../../words/lists.ts';
import { remindersWords } from '../../words/reminders.ts';
import { stageWithTrade } from '../../words/stages.ts';
import { lampLines } from '../light/why-text.ts';
import { countWords, findingJson } from './findings.ts';
import { groupAssumed } from './groups.ts';

/** The lines before the findings: what each zone's lamps do, stage by stage, and why the others are off; what all batches of a zone share, once. */
export function whyLines({ plan, timeline }: Compiled): string[] {
  if (!plan || !timeline) return [];
  const { courses, treatments } = timeline.steered;
  const lines = plan.zones.flatMap(({ name }, zone) => {
    const batches = courses
      .filter((course) => course.zone === zone)
      .map((course) => ({
        batch: itemAt(plan.batches, course.batch).name,
        own: lampLines(stageReports(plan, timeline.field, treatments, course), darkStages(plan, course)),
      }));
    const all = new Set(batches.flatMap(({ own }) => own));
    return [...all].map((line) => {
      const having = batches.filter(({ own }) => own.includes(line));
      const of = having.length === batches.length ? '' : `, batch ${list(having.map(({ batch }) => batch))}`;
      return `  ${name}${of}: ${line}`;
    });
  });
  return lines.length === 0 ? [] : ['What the lamps do:', ...lines, ''];
}

/** The lines after the findings. */
export function checkLines(file: string, result: Compiled): string[] {
  const { plan, findings } = result;
  const count = `${file}: ${countWords(findings)}`;
  if (!plan || findings.some(({ severity }) => severity === 'error')) return [count];
  return [
    plan.title || file,
    `  ${courseWords(plan)}`,
    ...batchLines(plan).map((line) => `  ${line}`),
    ...stageLines(plan).map((line) => `  ${line}`),
    '',
    ...assumedLines(plan.assumed),
    ...result.tables.map((table) => tableLine(table, result.tablesFrom)),
    count,
  ];
}

function courseWords(plan: ResolvedPlan): string {
  const days = planDays(plan);
  const what = `${plan.shelves.length} shelves, ${plan.zones.length} zones, ${plan.lamps.length} lamps`;
  const counted = plural(
    plan.shelves.length,
    'shelf',
    'shelves',
    plural(plan.zones.length, 'zone', 'zones', what),
  );
  if (!days) return `${counted}; no batch is there yet`;
  return `${counted}; ${isoDate(days.first)} to ${isoDate(civilDay(days.end - 1))}, ${plan.timezone}, ${plan.clock} clock`;
}

/** `1 shelves` → `1 shelf` inside a text. */
function plural(count: number, one: string, many: string, text: string): string {
  return count === 1 ? text.replace(`1 ${many}`, `1 ${one}`) : text;
}

function batchLines(plan: ResolvedPlan): string[] {
  return columns(
    plan.batches.map((batch) => {
      const stay = batch.zones[0];
      const stages = (stay?.stages ?? []).map((stage) => `${stage.name} ${isoDate(stage.from)}`);
      const zones = list(batch.zones.map(({ zone }) => plan.zones[zone]?.name ?? ''));
      return [`batch ${batch.name}`, `sealed ${isoDate(batch.sealed)}`, `zones ${zones}`, stages.join(', ')];
    }),
  );
}

/** The trade's words for the stages, once, and what is told of bags that wait elsewhere. */
function stageLines(plan: ResolvedPlan): string[] {
  const names = [
    ...new Set(
      plan.batches.flatMap(({ zones }) => zones.flatMap(({ stages }) => stages.map(({ name }) => name))),
    ),
  ];
  const known = names.map(stageWithTrade).filter((words, i) => words !== names[i]);
  const waiting = plan.batches.filter((batch) => entersOn(batch) > batch.sealed).map(({ name }) => name);
  return [
    ...(known.length > 0 ? [`in the trade's words: ${list(known)}`] : []),
    ...(waiting.length > 0
      ? [
          `not on the rack from the first day: ${list(waiting)}; \`visits\` has the looks at them, the board cannot remind of them`,
        ]
      : []),
  ];
}

function assumedLines(assumed: readonly Assumption[]): string[] {
  if (assumed.length === 0) return [];
  const rows = columns(
    groupAssumed(assumed).map(({ path, value, confidence, because, entries }) => [
      path,
      value,
      `confidence ${confidence}`,
      entries.length === 0 ? because : `${because} (${list(entries)})`,
    ]),
  );
  return ['Assumed, because the plan does not say:', ...rows.map((row) => `  ${row}`), ''];
}

function tableLine(
  { name, costs, board, remindersUntil }: ControllerTable,
  from: CivilDay | undefined,
): string {
  const limit = Math.min(TABLE_MAX_BYTES, board.memory.tableBytes);
  const day = from === undefined ? '' : `, flashed on ${isoDate(from)}`;
  const until = remindersUntil === undefined ? '' : `; ${remindersWords(remindersUntil)}`;
  return `Controller ${name}: schedule table ${costs.total} of ${limit} bytes${day}${until}`;
}

/** The same for machines. */
export function checkJson(
  file: string,
  { plan, findings, text, units, tables }: Compiled,
): Readonly<Record<string, unknown>> {
  const sound = !findings.some(({ severity }) => severity === 'error');
  return {
    file,
    ok: sound,
    findings: findings.map((one) => findingJson(one, text, units)),
    assumed: sound ? (plan?.assumed ?? []) : [],
    batches: sound && plan ? plan.batches.map((batch) => batchJson(plan, batch)) : [],
    tables: tables.map(({ name, unit, board, costs, remindersUntil }) => ({
      controller: name,
      unit,
      board: board.id,
      bytes: costs.total,
      schedule: costs.schedule,
      remindersUntil: remindersUntil === undefined ? null : isoDate(remindersUntil),
    })),
  };
}

function batchJson(
  plan: ResolvedPlan,
  batch: ResolvedPlan['batches'][number],
): Readonly<Record<string, unknown>> {
  return {
    name: batch.name,
    sealed: isoDate(batch.sealed),
    zones: batch.zones.map((stay) => ({
      zone: plan.zones[stay.zone]?.name,
      enters: isoDate(stay.enters),
      free: isoDate(stay.free),
      stages: stay.stages.map((stage) => ({
        stage: stage.name,
        from: isoDate(stage.from),
        days: stage.days,
      })),
    })),
  };
}
