/**
 * What `simulate` prints, for people and for machines.
 *
 * Always holds: both say the same.
 */

import type { SoundPlan } from '../../../compiler/compiled.ts';
import type { UtcOffsets } from '../../../compiler/plan/utc-offsets.ts';
import type { VisitOccurrence } from '../../../compiler/timeline/visit.ts';
import { clockTime, isoDate } from '../../../shared/civil.ts';
import type { LogRecord } from '../../../shared/log.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { columns } from '../../words/columns.ts';
import { recordTime, recordWords } from '../../words/controller.ts';
import { list } from '../../words/lists.ts';
import { namesOf } from '../../words/names.ts';
import { sideWord } from '../../words/sides.ts';
import { doWords } from '../visits/text.ts';
import type { SimulatedRun } from './run.ts';
import type { SimulatedDay } from './summary.ts';

export interface Simulation {
  readonly plan: SoundPlan;
  readonly first: CivilDay;
  /** Civil days simulated. */
  readonly days: number;
  readonly runs: readonly SimulatedRun[];
  readonly zoneDays: readonly SimulatedDay[];
  /** Whether events were made to happen: then the controller's own log is shown. */
  readonly eventful: boolean;
}

/** The printed answer. */
export function simulationLines(simulation: Simulation): string[] {
  const { plan, first, days, zoneDays } = simulation;
  const last = isoDate((first + days - 1) as CivilDay);
  const zones = zoneDays.length > 0 ? columns(zoneRows(simulation)) : ['No zone has bags in these days.'];
  return [
    `${plan.plan.title || 'The plan'}: ${isoDate(first)} to ${last}, ${days} day${days === 1 ? '' : 's'}, on the simulated controller`,
    '',
    ...zones,
    '',
    ...switchingLines(simulation),
    ...visitLines(simulation),
    ...logLines(simulation),
  ];
}

/** Consecutive days on which a zone got the same, as one row. */
function zoneRows({ plan, zoneDays }: Simulation): string[][] {
  const rows: { zone: number; from: CivilDay; to: CivilDay; stage: string; light: string; daily: string }[] =
    [];
  for (const { zone, day, stage, batch, seconds } of zoneDays) {
    const light = lightWords(seconds);
    const named = `${stage ?? 'no stage'} (${batch})`;
    const last = rows[rows.length - 1];
    const goesOn =
      last && last.zone === zone && last.light === light && last.stage === named && last.to === day - 1;
    if (goesOn) last.to = day;
    else rows.push({ zone, from: day, to: day, stage: named, light, daily: lightWords(seconds, ' a day') });
  }
  return rows.map(({ zone, from, to, stage, light, daily }) => {
    const when = from === to ? isoDate(from) : `${isoDate(from)} to ${isoDate(to)}`;
    return [`zone ${plan.plan.zones[zone]?.name}`, when, stage, from === to ? light : daily];
  });
}

/** `12 h from the left`, `12 h a day from the left`, `dark`. Stagger and start leave seconds: tenths of an hour are shown. */
function lightWords(seconds: ReadonlyMap<string, number>, eachDay = ''): string {
  const lit = [...seconds]
    .filter(([word]) => word !== 'dark')
    .map(([word, count]) => [word, Math.round(count / 360) / 10] as const)
    .filter(([, hours]) => hours > 0)
    .sort((a, b) => b[1] - a[1]);
  if (lit.length === 0) return 'dark';
  const sided = lit.some(([word]) => word !== 'upright');
  return lit.map(([word, hours]) => `${hours} h${eachDay} ${fromWords(word, hours, sided)}`).join(', ');
}

/** `from the left`; of light that no side of outweighs its opposite what it is. */
function fromWords(word: string, hours: number, sided: boolean): string {
  if (word !== 'upright') return `from the ${word}`;
  return sided && hours < OVERLAP_MOST ? 'while the sides overlap' : 'of even light';
}

/** Even light for no longer than this beside light from a side is the change between sides, hours. */
const OVERLAP_MOST = 0.5;

function switchingLines({ plan, runs }: Simulation): string[] {
  return runs.map(({ table, operations }) => {
    const { outputs } = namesOf(plan.plan, table.controller);
    const counted = operations.flatMap((count, at) => {
      const lamps = outputs[at] ?? [];
      return lamps.length === 0 ? [] : [`${lamps.join(' + ')} ${count}`];
    });
    return `Switchings on ${table.name}: ${counted.join(', ') || 'none'}`;
  });
}

/** The plan's visits within the span, in order. */
export function visitsWithin({ plan, first, days }: Simulation): VisitOccurrence[] {
  return plan.timeline.visits.filter((visit) => visit.day < first + days && visit.day + visit.days > first);
}

function visitLines(simulation: Simulation): string[] {
  const byWalk = new Map<string, Map<string, string[]>>();
  for (const visit of visitsWithin(simulation)) {
    const when = `${isoDate(visit.day)} ${clockTime(visit.at)}`;
    const walk = byWalk.get(when) ?? new Map<string, string[]>();
    const zone = simulation.plan.plan.zones[visit.zone]?.name ?? '';
    const open = visit.kind === 'harvest' ? `, open for ${visit.days} days` : '';
    const kind = doWords({ kind: visit.kind, closer: false });
    const side = visit.side === undefined ? '' : ` (its ${sideWord(visit.side)} side to the lamp)`;
    const work = `${kind}|${open}`;
    walk.set(work, [...(walk.get(work) ?? []), `${zone}${side}`]);
    byWalk.set(when, walk);
  }
  if (byWalk.size === 0) return ['No visits in these days.'];
  const rows = [...byWalk].map(
    ([when, walk]) => `  ${when}  ${[...walk].map(([work, zones]) => workWords(work, zones)).join('; ')}`,
  );
  return ['Visits:', ...rows];
}

/** `harvest A and B, open for 22 days`, of what is to be done and how long it is open. */
function workWords(work: string, zones: readonly string[]): string {
  const [kind = '', open = ''] = work.split('|');
  return `${kind} ${list(zones)}${open}`;
}

function logLines({ eventful, runs, plan }: Simulation): string[] {
  if (!eventful) return [];
  return runs.flatMap(({ table, records }) => [
    `Log of ${table.name}:`,
    ...records.map((record) => `  ${recordLine(record, plan.timeline.offsets, plan, table.controller)}`),
  ]);
}

function recordLine(record: LogRecord, offsets: UtcOffsets, plan: SoundPlan, controller: number): string {
  return `${recordTime(record, offsets).padEnd(16)}  ${recordWords(record, namesOf(plan.plan, controller))}`;
}

/** The same for machines. Hours are rounded to a hundredth. */
export function simulationJson(simulation: Simulation): Readonly<Record<string, unknown>> {
  const { plan, first, days, runs, zoneDays } = simulation;
  const hours = (seconds: ReadonlyMap<string, number>): Record<string, number> =>
    Object.fromEntries(
      [...seconds]
        .map(([word, count]) => [word, Math.round(count / 36) / 100] as const)
        // The stagger between two lamps is a second or so from one side only.
        .filter(([, rounded]) => rounded > 0),
    );
  return {
    from: isoDate(first),
    days,
    zones: zoneDays.map(({ zone, day, batch, stage, seconds }) => ({
      zone: plan.plan.zones[zone]?.name,
      day: isoDate(day),
      batch,
      stage,
      hours: hours(seconds),
    })),
    controllers: runs.map(({ table, operations, trace, records }) => ({
      controller: table.name,
      switchings: operations,
      changes: trace.length - 1,
      records: records.length,
    })),
    visits: visitsWithin(simulation).map(({ zone, kind, day, at, days: open }) => ({
      zone: plan.plan.zones[zone]?.name,
      kind,
      day: isoDate(day),
      at: clockTime(at),
      days: open,
    })),
  };
}
