/**
 * What `check` says about a plan beyond its findings, for people and machines.
 *
 * Always holds: both say the same; nothing is said of a plan with errors but
 * the findings and their count.
 */

import type { Compiled, ControllerTable } from '../../../compiler/compiled.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import type { Assumption, ResolvedBatch, ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { shelfLoads } from '../../../compiler/plan/shelf-load.ts';
import { entersOn } from '../../../compiler/timeline/waiting.ts';
import { isoDate } from '../../../shared/civil.ts';
import { carryWords } from '../../../shared/measures.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { list, shortList } from '../../words/lists.ts';
import { remindersWords } from '../../words/reminders.ts';
import { stageWithTrade } from '../../words/stages.ts';
import { countWords, findingJson } from './findings.ts';
import { groupAssumed } from './groups.ts';

/** The lines after the findings. */
export function checkLines(file: string, result: Compiled): string[] {
  const { plan, findings } = result;
  const count = `${file}: ${countWords(findings)}`;
  if (!plan || findings.some(({ severity }) => severity === 'error')) return [count];
  return [
    plan.title || file,
    `  ${courseWords(plan)}`,
    ...batchLines(plan).map((line) => `  ${line}`),
    ...[...stageLines(plan), ...waitingLines(plan)].map((line) => `  ${line}`),
    ...loadLines(plan).map((line) => `  ${line}`),
    '',
    ...assumedLines(plan.assumed),
    ...tableLines(result),
    count,
  ];
}

/** How large the rack is, and over which days it grows. */
export function courseWords(plan: ResolvedPlan): string {
  const days = planDays(plan);
  const counted = [
    plural(plan.shelves.length, 'shelf', 'shelves'),
    plural(plan.zones.length, 'zone', 'zones'),
    plan.lamps.length === 0 ? 'no lamp' : plural(plan.lamps.length, 'lamp', 'lamps'),
  ].join(', ');
  if (!days) return `${counted}; no batch is there yet`;
  return `${counted}; ${isoDate(days.first)} to ${isoDate(civilDay(days.end - 1))}, ${plan.timezone}, ${plan.clock} clock`;
}

/** `1 shelf`, `2 shelves`. */
const plural = (count: number, one: string, many: string): string => `${count} ${count === 1 ? one : many}`;

function batchLines(plan: ResolvedPlan): string[] {
  return columns(
    plan.batches.map((batch) => {
      const zones = list(batch.zones.map(({ zone }) => plan.zones[zone]?.name ?? ''));
      return [
        `batch ${batch.name}`,
        `sealed ${isoDate(batch.sealed)}`,
        `${batch.zones.length === 1 ? 'zone' : 'zones'} ${zones}`,
        stagesWords(batch),
      ];
    }),
  );
}

/** The stages of a batch, each with its first day. */
export function stagesWords({ zones: [stay] }: ResolvedBatch): string {
  return (stay?.stages ?? []).map((stage) => `${stage.name} ${isoDate(stage.from)}`).join(', ');
}

/** The trade's words for the stages, once. */
function stageLines(plan: ResolvedPlan): string[] {
  const names = [
    ...new Set(
      plan.batches.flatMap(({ zones }) => zones.flatMap(({ stages }) => stages.map(({ name }) => name))),
    ),
  ];
  const known = names.map(stageWithTrade).filter((words, i) => words !== names[i]);
  return known.length > 0 ? [`in the trade's words: ${list(known)}`] : [];
}

/** What is told of bags that wait elsewhere. */
export function waitingLines(plan: ResolvedPlan): string[] {
  const waiting = plan.batches.filter((batch) => entersOn(batch) > batch.sealed).map(({ name }) => name);
  if (waiting.length === 0) return [];
  return [
    `not on the rack from the first day: ${shortList(waiting)}; \`visits\` has the looks at them, the board cannot remind of them`,
  ];
}

/** So many different loads are told; of more the heaviest. */
const LOADS_MAX = 6;

/** What the bags weigh on each shelf; shelves alike are told once. */
export function loadLines(plan: ResolvedPlan): string[] {
  const byLoad = new Map<string, { shelves: string[]; kg: number }>();
  for (const { shelf, bags, kg } of shelfLoads(plan)) {
    const load = `${carryWords(kg, plan.units)} (${bags === 1 ? '1 bag' : `${bags} bags`} with spawn)`;
    byLoad.set(load, { shelves: [...(byLoad.get(load)?.shelves ?? []), shelf], kg });
  }
  if (byLoad.size === 0) return [];
  const all = [...byLoad];
  const told = all.length > LOADS_MAX ? all.sort(([, a], [, b]) => b.kg - a.kg).slice(0, LOADS_MAX / 2) : all;
  const each = told.map(([load, { shelves }]) => `${shortList(shelves)} ${load}`);
  const less = all.slice(told.length).flatMap(([, { shelves }]) => shelves).length;
  if (less > 0) each.push(`${less} more shelves carry less`);
  return [
    `shelf load: ${each.join('; ')}; lamps come on top. Keep to what the shelf's maker allows, heavy shelves low, the rack fixed to the wall`,
  ];
}

function assumedLines(assumed: readonly Assumption[]): string[] {
  if (assumed.length === 0) return [];
  const rows = columns(
    groupAssumed(assumed).map(({ path, value, confidence, because, entries }) => [
      path,
      value,
      `confidence ${confidence}`,
      entries.length === 0 ? because : `${because} (${shortList(entries)})`,
    ]),
  );
  return ['Assumed, because the plan does not say:', ...rows.map((row) => `  ${row}`), ''];
}

/** So many controllers have a line each. */
const TABLES_MAX = 8;

/** The tables, a line each; of many controllers one line for those that have nothing else to tell. */
export function tableLines({ tables, tablesFrom }: Compiled): string[] {
  const plain = tables.filter(({ remindersUntil }) => remindersUntil === undefined);
  if (tables.length <= TABLES_MAX) return tables.map((table) => tableLine(table, tablesFrom));
  const told = tables.filter((table) => !plain.includes(table)).map((table) => tableLine(table, tablesFrom));
  const bytes = plain.map(({ costs }) => costs.total);
  if (bytes.length === 0) return told;
  const names = shortList(plain.map(({ name }) => name));
  const most = Math.max(...bytes);
  return [
    ...told,
    `Controllers ${names}: schedule tables of ${Math.min(...bytes)} to ${most} bytes; all fit.`,
  ];
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
