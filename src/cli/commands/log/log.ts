/** `log`: reads the controller's run log, prints it, and keeps it in the archive of its plan. */

import type { Command } from 'commander';
import { logCsv, logJson } from '../../../answers/log/records.ts';
import { usage } from '../../../failure.ts';
import { FORCE_OPTION } from '../../../files/outputs.ts';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { STEP_CLOCK_OPTION } from '../../../jobs/host-clock.ts';
import { missingWords, offsetsOn, printReading } from '../../../jobs/log/print.ts';
import { optionalPlan } from '../../../jobs/of-plan.ts';
import { type PortOptions, withController } from '../../../jobs/port.ts';
import { readLog } from '../../../link/read-log.ts';
import { addPortOptions } from '../../options/port.ts';
import { progress, remark, say, sayJson } from '../../terminal.ts';

interface Options extends PortOptions {
  readonly plan?: string;
  readonly controller?: string;
  readonly since?: string;
  readonly last?: string;
  readonly csv?: boolean;
  readonly archive?: string;
  readonly export?: string;
  readonly force?: boolean;
  readonly follow?: boolean | string;
  readonly setClock?: boolean;
  readonly newHistory?: boolean;
  readonly spare?: boolean;
  readonly stepClock?: boolean;
}

const DEFAULT_LAST = 40;

/** Adds what `log` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      'Reads what the controller wrote down: light given each day, visits, power cuts, faults.\n' +
        'With a plan (or --archive) only what is new is read, and kept in the archive for `review`;\n' +
        'without, the log is only looked at.',
    )
    .argument('[plan]', 'the plan file')
    .option('--plan <file>', 'only look, with the names of zones and lamps from this plan')
    .option('--controller <name>', 'which controller of the plan this is')
    .option(...ARCHIVE_OPTION)
    .option('--follow [seconds]', 'keep the port open and go on reading, every 10 seconds')
    .option('--set-clock', "also set the controller's clock to this computer's")
    .option(...STEP_CLOCK_OPTION)
    .option('--spare', 'this board takes the place of the one that had its name so far')
    .option(
      '--new-history',
      'where the log is not the one archived (a new log memory, a second controller): keep it apart from now on',
    )
    .option('--export <file>', 'write the archive to a .csv, .jsonl or .parquet file instead')
    .option(...FORCE_OPTION)
    .option('--since <n>', 'only look: only records after this number')
    .option(
      '--last <n>',
      `print only so many of the newest (default ${DEFAULT_LAST} on the screen, all as CSV or JSON)`,
    )
    .option('--csv', 'only look: print as comma-separated values, times in UTC')
    .addHelpText(
      'after',
      '\nExamples:\n' +
        '  leanward log rack.plan.yaml --port /dev/ttyUSB0\n' +
        '  leanward log rack.plan.yaml --export rack.parquet\n' +
        '  leanward log --port /dev/ttyUSB0 --plan rack.plan.yaml --csv > log.csv',
    )
    .action((plan: string | undefined, options: Options) => run(plan, options));
}

async function run(plan: string | undefined, options: Options): Promise<void> {
  if (options.csv && options.json) throw usage('--csv and --json do not go together.', 'Choose one.');
  if (options.export !== undefined) {
    const { exportLog } = await import('./export-log.ts');
    return exportLog(plan, options.export, options);
  }
  const last = wholeNumber(options.last, '--last');
  if (plan === undefined && options.archive === undefined) return look(options, last);
  if (options.csv || options.since !== undefined) {
    throw usage('--csv and --since only look at the log; the archive takes what is new.', 'Leave them away.');
  }
  const { keepLog } = await import('../../../jobs/log/keep-log.ts');
  return keepLog(plan, options, last ?? DEFAULT_LAST);
}

/** Reads and prints; nothing is kept. */
async function look(options: Options, last: number | undefined): Promise<void> {
  const since = wholeNumber(options.since, '--since') ?? 0;
  const { context, names } = await optionalPlan(options.plan, options.controller);
  const { reading, offsets } = await withController(options, context, async (controller) => {
    const reading = await readLog(controller, since, progress('Reading the log'));
    const offsets = await offsetsOn(controller);
    if (options.setClock) await controller.setClock();
    return { reading, offsets };
  });
  const shown = {
    ...reading,
    records: last === undefined ? reading.records : reading.records.slice(-last || reading.records.length),
  };
  if (options.json) sayJson(logJson(shown));
  else if (options.csv) for (const line of logCsv(shown)) say(line);
  else printReading(shown, offsets, names, last ?? DEFAULT_LAST);
  if (reading.missing.length > 0 && !options.json) remark(missingWords(reading));
  if (options.setClock) remark("The controller's clock was set to this computer's.");
}

function wholeNumber(text: string | undefined, option: string): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text);
  if (text.trim() !== '' && Number.isInteger(value) && value >= 0) return value;
  throw usage(`'${text}' is not a whole number.`, `Write ${option} 100.`);
}
