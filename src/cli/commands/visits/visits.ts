/** `visits`: tonight's work and the coming fortnight's; calendar, card, and answers from the computer. */

import { existsSync, readFileSync } from 'node:fs';
import type { Command } from 'commander';
import type { ResolvedPlan } from '../../../../compiler/plan/plan.ts';
import { isoDate } from '../../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../../shared/units.ts';
import type { EarlierEvent } from '../../../answers/visits/calendar.ts';
import type { WorkItem } from '../../../answers/visits/work.ts';
import { usage } from '../../../failure.ts';
import { writeFileSafely } from '../../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../../files/outputs.ts';
import { ARCHIVE_OPTION, archiveToRead } from '../../../jobs/archive.ts';
import { readPlanFile } from '../../../jobs/plan-file.ts';
import type { PortOptions } from '../../../jobs/port.ts';
import { type Standing, standingLines } from '../../../jobs/standing.ts';
import { todayOf } from '../../../jobs/visits/today.ts';
import { addPortOptions } from '../../options/port.ts';

import { remark, say, sayJson } from '../../terminal.ts';

interface Options extends PortOptions {
  readonly archive?: string;
  readonly day?: string;
  readonly days?: string;
  readonly ics?: string;
  readonly card?: string;
  readonly force?: boolean;
  readonly done?: readonly string[];
  readonly undo?: readonly string[];
  readonly why?: string;
}

const DEFAULT_DAYS = 14;
const MOST_DAYS = 1000;
/** A calendar reaches further than the list, days. */
const CALENDAR_DAYS = 120;

/** Adds what `visits` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      "Tonight's work and the coming fortnight's: which bags, when, and what to look for.\n" +
        'With --done or --undo a visit is answered from here: on the controller with --port, else in the archive alone.',
    )
    .argument('<plan>', 'the plan file')
    .option(...ARCHIVE_OPTION)
    .option('--day <date>', 'the day to take as today')
    .option('--days <n>', `how many days (${DEFAULT_DAYS})`)
    .option(
      '--ics <file>',
      `also write a calendar for a phone, ${CALENDAR_DAYS} days; write it again to update it`,
    )
    .option('--card <file>', 'also write a sheet to print, for the day a controller dies')
    .option(...FORCE_OPTION)
    .option(
      '--done <zone kind...>',
      'a visit is done, such as --done A lift (bags not on the rack yet: --done BATCH look)',
    )
    .option('--undo <zone kind...>', 'take back the last answer, such as --undo A lift')
    .option('--why <text>', 'a word on it, kept with a correction')
    .addHelpText(
      'after',
      '\nExamples:\n  leanward visits rack.plan.yaml --ics rack.ics\n  leanward visits rack.plan.yaml --done A lift --port /dev/ttyUSB0',
    )
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(path: string, options: Options): Promise<void> {
  const { ics, card, archive, force } = options;
  checkOutputs({ write: [ics, card], read: [path, archive], force });
  const plan = readPlanFile(path);
  if (options.done || options.undo) return answer(path, plan, options);
  const where = await archiveToRead(path, options);
  const today = await todayOf(plan, where, options.day);
  const { workOf } = await import('../../../jobs/visits/work.ts');
  const days = daysOf(options);
  const { items, gone, known } = await workOf(path, plan, where, today, days);
  if (options.json)
    sayJson({
      from: isoDate(today),
      days,
      visits: items.map(itemJson),
      notKept: gone.map((one) => ({ ...one, day: isoDate(one.day) })),
      controllers: known.standings.map(standingJson),
    });
  else {
    const { workText } = await import('../../../answers/visits/text.ts');
    say(workText(items, today, days, gone));
    const { roomToday } = await import('../../../answers/visits/room.ts');
    const { bagLives } = await import('../../../answers/bags/lives.ts');
    const room = roomToday(plan, bagLives(plan, known.notes), today);
    if (room !== undefined) say(['', room].join('\n'));
    const lines = standingLines(known.standings, path, today);
    if (lines.length > 0) say(['', ...lines].join('\n'));
  }
  if (options.ics !== undefined) {
    const { daysReached, eventsIn } = await import('../../../answers/visits/calendar.ts');
    const earlier = existsSync(options.ics) ? eventsIn(readFileSync(options.ics, 'utf8')) : [];
    const reach = Math.max(days, CALENDAR_DAYS, Math.min(daysReached(earlier, today), MOST_DAYS));
    const { workFrom } = await import('../../../answers/visits/work.ts');
    const work = workFrom(plan, known, today, reach);
    await writeCalendar(path, options.ics, work, known.standings, today, earlier);
    if (!options.json) remark(`Wrote ${options.ics}.`);
  }
  if (options.card !== undefined) {
    await writeCard(path, options.card, today);
    if (!options.json) remark(`Wrote ${options.card}.`);
  }
}

function daysOf(options: Options): number {
  const days = Number(options.days ?? DEFAULT_DAYS);
  if (Number.isInteger(days) && days >= 1 && days <= MOST_DAYS) return days;
  throw usage(`'${options.days}' is not a number of days.`, 'Write --days 14.');
}

function standingJson(standing: Standing): Readonly<Record<string, unknown>> {
  const { controller, readBy, behind, remindersUntil: until } = standing;
  const remindersUntil = until === undefined ? null : isoDate(until);
  return { controller, readBy: isoDate(readBy), behind: behind ?? null, remindersUntil };
}

function itemJson(item: WorkItem): Readonly<Record<string, unknown>> {
  const { day, openUntil, overdue, ...rest } = item;
  const date = (one: CivilDay | undefined): string | undefined =>
    one === undefined ? undefined : isoDate(one);
  return { day: isoDate(day), ...rest, openUntil: date(openUntil), overdue: date(overdue) };
}

async function answer(path: string, plan: ResolvedPlan, options: Options): Promise<void> {
  if (options.done && options.undo)
    throw usage('--done and --undo do not go together.', 'One after the other.');
  const { answerOverLink, tellAnswerInArchive } = await import('./answer.ts');
  const { visitNamed } = await import('../../../jobs/visits/answer.ts');
  const named = visitNamed(plan, options.done ?? options.undo ?? []);
  if (options.port !== undefined) {
    return answerOverLink(path, plan, named, options.done ? 'done' : 'takeBack', options);
  }
  const where = await archiveToRead(path, options);
  const today = await todayOf(plan, where, options.day);
  const given = { named, outcome: options.done ? 'done' : 'undone', today, why: options.why } as const;
  return tellAnswerInArchive(plan, given, where, options.json === true);
}

async function writeCalendar(
  path: string,
  target: string,
  items: readonly WorkItem[],
  standings: readonly Standing[],
  today: CivilDay,
  earlier: readonly EarlierEvent[],
): Promise<void> {
  const { visitCalendar } = await import('../../../answers/visits/calendar.ts');
  const { planName } = await import('../../../archive/open.ts');
  const { offsetsAround } = await import('../../../../compiler/plan/place-time.ts');
  const { utcSeconds } = await import('../../../../shared/units.ts');
  const plan = readPlanFile(path);
  const offsets = offsetsAround(plan.timezone, utcSeconds(today * 86_400));
  const ends = standings.flatMap(({ controller, remindersUntil: day }) =>
    day === undefined ? [] : [{ controller, day }],
  );
  const known = { items, ends, earlier };
  writeFileSafely(target, visitCalendar(plan, planName(path), known, offsets, Date.now()));
}

async function writeCard(path: string, target: string, today: CivilDay): Promise<void> {
  const { compilePlanFile } = await import('../../../jobs/plan-file.ts');
  const { cardPage } = await import('../../../answers/visits/card.ts');
  const { plan, tables, timeline } = await compilePlanFile(path, today);
  const last = Math.max(0, ...plan.batches.flatMap((batch) => batch.zones.map((stay) => stay.free)));
  const byController = plan.controllers.map(
    (_, index) => tables.find((table) => table.controller === index)?.encoded.bytes ?? new Uint8Array(),
  );
  const { waitingLooks } = await import('../../../../compiler/timeline/waiting.ts');
  const { offsets } = timeline;
  const visits = [...timeline.visits, ...waitingLooks(plan).visits];
  const input = {
    plan,
    planFile: path,
    tables: byController,
    visits,
    offsets,
    from: today,
    until: civilDay(last),
  };
  writeFileSafely(target, cardPage(input));
}
