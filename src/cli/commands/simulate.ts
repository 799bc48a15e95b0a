/** `simulate`: runs a plan on simulated controllers and says what each zone gets. */

import type { Command } from 'commander';
import type { SoundPlan } from '../../../compiler/compiled.ts';
import { planDays } from '../../../compiler/plan/on-a-day.ts';
import { firstInstant } from '../../../compiler/plan/utc-offsets.ts';
import { sure } from '../../../shared/assert.ts';
import { isoDate } from '../../../shared/civil.ts';
import { type CivilDay, civilDay } from '../../../shared/units.ts';
import { EVENT_HELP, parseEvent, scheduleEvents } from '../../answers/simulate/events.ts';
import { simulateController } from '../../answers/simulate/run.ts';
import { simulatedDays } from '../../answers/simulate/summary.ts';
import { type Simulation, simulationJson, simulationLines } from '../../answers/simulate/text.ts';
import { traceText } from '../../answers/simulate/trace.ts';
import { usage } from '../../failure.ts';
import { writeFileSafely } from '../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../files/outputs.ts';
import { dayOption } from '../../jobs/dates.ts';
import { compilePlanFile } from '../../jobs/plan-file.ts';
import { eachGiven } from '../options/port.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options {
  readonly from?: string;
  readonly days?: string;
  readonly all?: boolean;
  readonly trace?: string;
  readonly event?: readonly string[];
  readonly page?: string;
  readonly force?: boolean;
  readonly json?: boolean;
}

const DEFAULT_DAYS = 7;
const MOST_DAYS = 3660;

/** Adds what `simulate` takes. */
export function define(command: Command): void {
  command
    .description(
      'Runs the plan on a simulated controller, the same table as on the real one, and says what each zone gets: ' +
        'hours of light and from which side, switchings, visits. A week from the first sealing unless told otherwise.',
    )
    .argument('<plan>', 'the plan file')
    .option('--from <date>', 'first day, such as 2026-04-13')
    .option('--days <n>', `how many days (${DEFAULT_DAYS})`)
    .option('--all', 'the whole grow')
    .option('--trace <file>', 'also write every change of every output, to the second')
    .option('--event <event>', 'make something happen (may be repeated)', eachGiven)
    .option('--page <file>', 'also write a page with pictures')
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      `${EVENT_HELP}\n\nExample:\n  leanward simulate rack.plan.yaml --from 2026-04-13 --event '2026-04-14 09:00 cut 2h'`,
    )
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, options: Options): Promise<void> {
  checkOutputs({ write: [options.trace, options.page], read: [file], force: options.force });
  const from = options.from === undefined ? undefined : dayOption(options.from, '--from');
  const plan = await compilePlanFile(file, undefined, false, from);
  const { first, days } = spanOf(plan, options, from);
  const { offsets } = plan.timeline;
  const [begin, until] = [firstInstant(offsets, first, 0), firstInstant(offsets, first + days, 0)];
  const events = (options.event ?? []).map(parseEvent);
  const acts = scheduleEvents(events, begin, offsets);
  const runs = plan.tables.map((table) => simulateController(table, { first, from: begin, until }, acts));
  const simulation = {
    plan,
    first,
    days,
    runs,
    zoneDays: simulatedDays(plan, runs, begin, until),
    eventful: events.length > 0,
  };
  if (options.trace !== undefined) writeFileSafely(options.trace, traceText(runs));
  if (options.json) sayJson(simulationJson(simulation));
  else for (const line of simulationLines(simulation)) say(line);
  if (options.page !== undefined) await writePage(options.page, simulation);
  for (const path of [options.trace, options.page])
    if (path !== undefined && !options.json) remark(`Wrote ${path}.`);
}

async function writePage(path: string, simulation: Simulation): Promise<void> {
  const { simulationPage } = await import('../../answers/simulate/page.ts');
  writeFileSafely(path, simulationPage(simulation));
}

/** The day after the last on which there are bags or light: a last evening's light runs on past midnight. */
function endOfLight({ timeline }: SoundPlan, end: CivilDay): number {
  const last = sure(timeline.demands.at(-1)).span[1];
  return timeline.demands.some(({ demands }) => demands.some(({ lit }) => lit[1] > last)) ? end + 1 : end;
}

/** First day and number of days, by the options; a table that does not hold the whole grow begins where it begins. */
function spanOf(
  plan: SoundPlan,
  { days, all }: Options,
  from: CivilDay | undefined,
): { first: CivilDay; days: number } {
  const whole = planDays(plan.plan);
  if (!whole)
    throw usage(
      'The plan has no batch yet, so there is nothing to simulate.',
      'Add one, as in: leanward batch PLAN --zones A --sealed 2026-02-16',
    );
  if (all && (from !== undefined || days !== undefined))
    throw usage('--all goes without --from and --days.', 'Leave one out.');
  if (all) {
    const first = plan.tablesFrom ?? whole.first;
    return { first, days: endOfLight(plan, whole.end) - first };
  }
  const sealed = Math.min(...plan.plan.batches.map((batch) => batch.sealed));
  const first = from ?? plan.tablesFrom ?? civilDay(sealed);
  if (first < whole.first - MOST_DAYS || first > whole.end + MOST_DAYS) {
    throw usage(`${isoDate(first)} is far outside the grow.`, 'Choose a day of the grow.');
  }
  const count = Number(days ?? DEFAULT_DAYS);
  if (!Number.isInteger(count) || count < 1 || count > MOST_DAYS)
    throw usage(`'${days}' is not a number of days.`, 'Write --days 14.');
  return { first, days: count };
}
