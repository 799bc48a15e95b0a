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
import { shelfLoads } from '../../../compiler/plan/shelf-load.ts';
import { entersOn } from '../../../compiler/timeline/waiting.ts';
import { itemAt } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { carryWords } from '../../../shared/measures.ts';
import { TABLE_MAX_BYTES } from '../../../shared/table.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { list, shortList } from '../../words/lists.ts';
import { remindersWords } from '../../words/reminders.ts';
import { stageWithTrade } from '../../words/stages.ts';
import { lampLines } from '../light/why-text.ts';
import { countWords, findingJson } from './findings.ts';
import { groupAssumed } from './groups.ts';

/** The lines before the findings: what each zone's lamps do, stage by stage, and why the others are off; what all batches of a zone share, once. */
export function whyLines({ plan, timeline }: Compiled): string[] {
  if (!plan || !timeline) return [];
  const { courses, treatments } = timeline.steered;
  const byZone = plan.zones.map(({ name }, zone) => {
    const batches = courses
      .filter((course) => course.zone === zone)
      .map((course) => ({
        batch: itemAt(plan.batches, course.batch).name,
        own: lampLines(stageReports(plan, timeline.field, treatments, course), darkStages(plan, course)),
      }));
    const all = new Set(batches.flatMap(({ own }) => own));
    const told = [...all].map((line) => {
      const having = batches.filter(({ own }) => own.includes(line));
      const of = having.length === batches.length ? '' : `, batch ${list(having.map(({ batch }) => batch))}`;
      return { of, line };
    });
    return { zone, name, told };
  });
  const lines = byZone.flatMap(({ name, told }) => told.map(({ of, line }) => `  ${name}${of}: ${line}`));
  if (lines.length === 0) return [];
  return ['What the lamps do:', ...(lines.length > LAMP_LINES_MAX ? alikeZones(plan, byZone) : lines), ''];
}

/** So many lines are still read zone by zone. */
const LAMP_LINES_MAX = 40;

interface ZoneLines {
  readonly zone: number;
  readonly name: string;
  readonly told: readonly { readonly of: string; readonly line: string }[];
}

/**
 * Zones whose lamps do the same, once: each lamp by the side on which it stands. What is too
 * long even so is told of as many zones as make a screenful, those with most alike first.
 */
function alikeZones(plan: ResolvedPlan, zones: readonly ZoneLines[]): string[] {
  const groups = new Map<string, ZoneLines[]>();
  for (const one of zones) {
    // Where batches of a zone differ, it is told by itself.
    const differs = one.told.some(({ of }) => of !== '');
    const alike = one.told.map(({ line }) => bySide(plan, one.zone, line));
    const key = JSON.stringify(differs ? one.name : alike);
    groups.set(key, [...(groups.get(key) ?? []), one]);
  }
  const lines: string[] = [];
  let left = zones.filter(({ told }) => told.length > 0).length;
  for (const group of [...groups.values()].sort((a, b) => b.length - a.length)) {
    const own = groupLines(plan, group);
    if (lines.length > 0 && lines.length + own.length > LAMP_LINES_MAX) break;
    lines.push(...own);
    if (own.length > 0) left -= group.length;
  }
  if (left > 0) lines.push(`  ${left} more ${left === 1 ? 'zone' : 'zones'}: \`light\` tells of each.`);
  return lines;
}

function groupLines(plan: ResolvedPlan, group: readonly ZoneLines[]): string[] {
  const [first] = group;
  if (!first) return [];
  if (group.length === 1) return first.told.map(({ of, line }) => `  ${first.name}${of}: ${line}`);
  if (first.told.length === 0) return [];
  const names = shortList(group.map(({ name }) => name));
  return [`  ${names}:`, ...first.told.map(({ line }) => `    ${bySide(plan, first.zone, line)}`)];
}

/** A line with the zone's own lamps called by their sides. */
function bySide(plan: ResolvedPlan, zone: number, line: string): string {
  const own = plan.lamps.flatMap(({ name, beside }) =>
    beside?.zone === zone ? [{ name, side: beside.side }] : [],
  );
  // The longest first, for a name may begin with another.
  return own
    .sort((a, b) => b.name.length - a.name.length)
    .reduce(
      (text, { name, side }) =>
        text.replaceAll(name, `the lamp ${side === 'above' ? side : `at the ${side}`}`),
      line,
    );
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
    ...loadLines(plan).map((line) => `  ${line}`),
    '',
    ...assumedLines(plan.assumed),
    ...tableLines(result),
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

/** What the bags weigh on each shelf; shelves alike are told once. */
function loadLines(plan: ResolvedPlan): string[] {
  const byLoad = new Map<string, string[]>();
  for (const { shelf, bags, kg } of shelfLoads(plan)) {
    const load = `${carryWords(kg, plan.units)} (${bags === 1 ? '1 bag' : `${bags} bags`} with spawn)`;
    byLoad.set(load, [...(byLoad.get(load) ?? []), shelf]);
  }
  if (byLoad.size === 0) return [];
  const each = [...byLoad].map(([load, shelves]) => `${list(shelves)} ${load}`);
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
function tableLines({ tables, tablesFrom }: Compiled): string[] {
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
