/** `log`: reads the controller's run log and prints it. */

import type { Command } from 'commander';
import type { ZoneOffsets } from '../../compiler/timeline/zone.ts';
import { decodeTable } from '../../shared/table-decode.ts';
import { usage } from '../failure.ts';
import type { Controller } from '../link/controller.ts';
import { addPortOptions, type PortOptions, withController } from '../link/options.ts';
import { type LogReading, readLog } from '../link/read-log.ts';
import { logCsv, logJson } from '../log-export.ts';
import { optionalPlan } from '../plan-option.ts';
import { offsetsOfTable } from '../table-offsets.ts';
import { progress, remark, say, sayJson } from '../terminal.ts';
import { list, type Names, recordTime, recordWords } from '../words.ts';

interface Options extends PortOptions {
  readonly plan?: string;
  readonly controller?: string;
  readonly since?: string;
  readonly last?: string;
  readonly csv?: boolean;
}

const DEFAULT_LAST = 40;

/** Adds what `log` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      'Reads what the controller wrote down: light given each day, visits, power cuts, faults. Reading changes nothing.',
    )
    .option('--plan <file>', 'the plan, for the names of zones and lamps')
    .option('--controller <name>', 'which controller of the plan this is')
    .option('--since <n>', 'only records after this number')
    .option(
      '--last <n>',
      `print only so many of the newest (default ${DEFAULT_LAST} on the screen, all as CSV or JSON)`,
    )
    .option('--csv', 'print as comma-separated values, times in UTC')
    .addHelpText(
      'after',
      '\nExample:\n  leanward log --port /dev/ttyUSB0 --plan rack.plan.yaml --csv > log.csv',
    )
    .action((options: Options) => run(options));
}

async function run(options: Options): Promise<void> {
  if (options.csv && options.json) throw usage('--csv and --json do not go together.', 'Choose one.');
  const since = wholeNumber(options.since, '--since') ?? 0;
  const last = wholeNumber(options.last, '--last');
  const { context, names } = await optionalPlan(options.plan, options.controller);
  const { reading, offsets } = await withController(options, context, async (controller) => ({
    reading: await readLog(controller, since, progress('Reading the log')),
    offsets: await offsetsOn(controller),
  }));
  const shown = {
    ...reading,
    records: last === undefined ? reading.records : reading.records.slice(-last || reading.records.length),
  };
  if (options.json) sayJson(logJson(shown));
  else if (options.csv) for (const line of logCsv(shown)) say(line);
  else print(shown, offsets, names, last ?? DEFAULT_LAST);
  if (reading.missing.length > 0 && !options.json) remark(missingWords(reading));
}

function wholeNumber(text: string | undefined, option: string): number | undefined {
  if (text === undefined) return undefined;
  const value = Number(text);
  if (text.trim() !== '' && Number.isInteger(value) && value >= 0) return value;
  throw usage(`'${text}' is not a whole number.`, `Write ${option} 100.`);
}

/** The offsets by which the controller itself tells civil days. */
async function offsetsOn(controller: Controller): Promise<ZoneOffsets> {
  const bytes = await controller.readRunningTable();
  const decoded = bytes && decodeTable(bytes);
  return offsetsOfTable(decoded?.ok ? decoded.table : undefined);
}

function print(reading: LogReading, offsets: ZoneOffsets, names: Names, last: number): void {
  if (reading.records.length === 0)
    say(reading.newest === 0 ? 'The log is empty.' : 'There is nothing newer in the log.');
  const shown = reading.records.slice(-last);
  for (const { sequence, record } of shown) {
    say(
      `${String(sequence).padStart(6)}  ${recordTime(record, offsets).padEnd(16)}  ${recordWords(record, names)}`,
    );
  }
  if (shown.length < reading.records.length) {
    remark(`These are the newest ${shown.length} of ${reading.records.length}; --last 1000 shows more.`);
  }
}

function missingWords({ missing }: LogReading): string {
  const first = missing[0]!;
  const end = missing[missing.length - 1]!;
  const which =
    missing.length > 6
      ? `${missing.length} records between ${first} and ${end}`
      : `record ${list(missing.map(String))}`;
  return `Not there any more, or damaged: ${which}.`;
}
