/**
 * The whole compiler: plan text in; findings, timeline and schedule tables out.
 *
 * Always holds: pure — no files, clock, process or randomness; the same text
 * and options give the same bytes; a plan with an error gives no table.
 */

import { sha256 } from '@noble/hashes/sha2.js';
import { TABLE_MAX_BYTES } from '../shared/table.ts';
import { type CivilDay, utcSeconds } from '../shared/units.ts';
import { noteClockChanges } from './checks/clock-changes.ts';
import { checkContacts } from './checks/contacts.ts';
import { checkLight } from './checks/light.ts';
import { noteLightCut } from './checks/light-cut.ts';
import { checkLoad } from './checks/load.ts';
import { checkTables } from './checks/tables.ts';
import { checkVisits } from './checks/visits.ts';
import type { Compiled, CompileOptions, ControllerTable, Timeline } from './compiled.ts';
import { collect } from './findings/collector.ts';
import { lightField } from './light/field.ts';
import { nothingKnown } from './light/known.ts';
import type { FieldOptions } from './light/options.ts';
import { planDays, stageOn } from './plan/on-a-day.ts';
import type { BatchZone, ResolvedPlan } from './plan/plan.ts';
import { offsetsFor } from './plan/utc-offsets.ts';
import { readPlan } from './read-plan.ts';
import { daysByController } from './steer/blocks.ts';
import { steerDays } from './steer/choose.ts';
import { tableCosts } from './table/costs.ts';
import { fitTable } from './table/fit.ts';
import { dayDemands } from './timeline/demands.ts';
import { visitsByController } from './timeline/visit.ts';
import { planVisits } from './timeline/visits.ts';

/** What is asked of a compilation, and the light that all its fields share. */
type Options = CompileOptions & FieldOptions;

/** Compiles a plan's text (UTF-8 bytes, or a string already decoded). Never throws on any input. */
export function compilePlan(source: Uint8Array | string, asked: CompileOptions): Compiled {
  const options: Options = { ...asked, known: asked.known ?? nothingKnown() };
  const read = readPlan(source, { boards: options.boards });
  const plan = read.plan && current(read.plan, options.fromDay);
  const { text, units } = read;
  if (!plan) {
    const none = { timeline: undefined, tables: [], tablesFrom: undefined };
    return { text, units, findings: read.findings, plan, ...none };
  }
  const timeline = makeTimeline(plan, options);
  const { tables, tablesFrom } = tablesThatFit(plan, timeline, options, planDigest(source));
  const later = collect((report) => {
    noteClockChanges(plan, timeline.offsets, report);
    noteLightCut(plan, timeline.demands, report);
    checkVisits(plan, timeline.visits, timeline.moved, report);
    checkLight(plan, timeline.field, timeline.demands, timeline.steered, options, report);
    checkTables(plan, timeline, tables, (tried) => fitsFrom(tried, options, tablesFrom), report);
    checkContacts(plan, timeline.days, report);
    checkLoad(plan, timeline.days, report);
  });
  const findings = [...read.findings, ...later];
  const sound = !findings.some(({ severity }) => severity === 'error');
  return { text, units, findings, plan, timeline, tables: sound ? tables : [], tablesFrom };
}

/** First four bytes of the SHA-256 of the plan's text. */
export function planDigest(source: Uint8Array | string): number {
  const hash = sha256(typeof source === 'string' ? new TextEncoder().encode(source) : source);
  return new DataView(hash.buffer, hash.byteOffset).getUint32(0);
}

/** The plan without the stays that are over by `from`. */
function current(plan: ResolvedPlan, from: CivilDay | undefined): ResolvedPlan {
  if (from === undefined) return plan;
  const batches = plan.batches
    .map((batch) => ({ ...batch, zones: batch.zones.filter((stay) => lastsUntil(stay) > from) }))
    .filter((batch) => batch.zones.length > 0);
  return { ...plan, batches };
}

/** The first day on which a stay wants nothing any more: light that begins on its last evening runs on past midnight. */
function lastsUntil(stay: BatchZone): number {
  const { free } = stay;
  const last = stageOn(stay, free - 1);
  return last?.light && last.light.start + last.light.photoperiod > 1440 ? free + 1 : free;
}

function makeTimeline(plan: ResolvedPlan, options: Options): Timeline {
  const days = planDays(plan);
  // A steady clock keeps the offset of the sealing day, which may lie before any bag comes to its zone.
  const from = Math.min(days?.first ?? 0, ...plan.batches.map((batch) => batch.sealed)) - 2;
  const end = (days?.end ?? 0) + 2;
  const offsets = offsetsFor(plan.timezone, utcSeconds(from * 86_400), utcSeconds(end * 86_400));
  const demands = dayDemands(plan, offsets);
  const field = lightField(plan, options);
  const steered = steerDays(plan, field, demands);
  return { offsets, demands, field, steered, days: steered.days, ...planVisits(plan) };
}

/** The tables of the whole grow; where one cannot hold it, all as a flash today would make them. */
function tablesThatFit(
  plan: ResolvedPlan,
  timeline: Timeline,
  options: Options,
  digest: number,
): Pick<Compiled, 'tables' | 'tablesFrom'> {
  const tables = makeTables(plan, timeline, digest, options.fromDay);
  const whole = tables.every(({ fits, remindersUntil }) => fits && remindersUntil === undefined);
  const today = options.today?.(plan.timezone);
  const end = planDays(plan)?.end ?? 0;
  if (whole || options.fromDay !== undefined || today === undefined || today >= end) {
    return { tables, tablesFrom: undefined };
  }
  const left = current(plan, today);
  return { tables: makeTables(left, makeTimeline(left, options), digest, today), tablesFrom: today };
}

/** Whether all tables of a changed plan would fit; nothing that is over by `from` is in them. */
function fitsFrom(plan: ResolvedPlan, options: Options, from: CivilDay | undefined): boolean {
  const left = current(plan, from);
  return makeTables(left, makeTimeline(left, options), 0, from).every(({ fits }) => fits);
}

function makeTables(
  plan: ResolvedPlan,
  timeline: Timeline,
  digest: number,
  from: CivilDay | undefined,
): ControllerTable[] {
  const { offsets } = timeline;
  const visitsOf = visitsByController(timeline.visits);
  const daysOf = daysByController(timeline.days);
  return plan.controllers.map(({ name, unit, board }, controller) => {
    const [visits, days] = [visitsOf.get(controller) ?? [], daysOf.get(controller) ?? []];
    const limit = Math.min(TABLE_MAX_BYTES, board.memory.tableBytes);
    const fitted = fitTable({ plan, controller, days, offsets, visits, digest }, limit, from);
    return { controller, name, unit, board, ...fitted, costs: tableCosts(fitted.encoded) };
  });
}
