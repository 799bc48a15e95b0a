/** `compile`: writes a plan's schedule tables and their listings into a folder. */

import { join } from 'node:path';
import type { Command } from 'commander';
import { tableListing } from '../../../compiler/table/listing.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import type { CivilDay } from '../../../shared/units.ts';
import { usage } from '../../failure.ts';
import { makeFolder, writeFileSafely } from '../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../files/outputs.ts';
import { compilePlanFile } from '../../jobs/plan-file.ts';
import { remindersWords } from '../../words/reminders.ts';
import { say, sayJson } from '../terminal.ts';

interface Options {
  readonly output: string;
  readonly from?: string;
  readonly strict?: boolean;
  readonly force?: boolean;
  readonly json?: boolean;
}

/** Adds what `compile` takes. */
export function define(command: Command): void {
  command
    .description(
      'Checks a plan and writes, for each controller, its schedule table (NAME.table) and a listing of it (NAME.lst).',
    )
    .argument('<plan>', 'the plan file')
    .requiredOption('-o, --output <folder>', 'folder to write to; it is made when it is not there')
    .option('--from <date>', 'leave out batches that are over by this day, such as 2026-06-01')
    .option('--strict', 'light that the plan asks for and does not get is an error')
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward compile rack.plan.yaml -o tables')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, { output, from, strict, force, json }: Options): Promise<void> {
  const { tables } = await compilePlanFile(file, readDay(from), strict === true);
  const names = tables.flatMap(({ name }) => [join(output, `${name}.table`), join(output, `${name}.lst`)]);
  checkOutputs({ write: names, read: [file], force });
  makeFolder(output);
  const written = tables.map(({ name, encoded, costs, remindersUntil }) => {
    const table = join(output, `${name}.table`);
    const listing = join(output, `${name}.lst`);
    writeFileSafely(table, encoded.bytes);
    writeFileSafely(listing, tableListing(name, encoded));
    const until = remindersUntil === undefined ? null : isoDate(remindersUntil);
    const sizes = { bytes: costs.total, schedule: costs.schedule };
    const words = remindersUntil === undefined ? '' : `; ${remindersWords(remindersUntil)}`;
    return { json: { controller: name, table, listing, ...sizes, remindersUntil: until }, words };
  });
  if (json) sayJson({ tables: written.map((one) => one.json) });
  else
    for (const { json: one, words } of written)
      say(`${one.controller}: ${one.bytes} bytes in ${one.table}, listing in ${one.listing}${words}`);
}

/** A day from an option. */
function readDay(text: string | undefined): CivilDay | undefined {
  if (text === undefined) return undefined;
  const day = dayFromIso(text);
  if (day === undefined) throw usage(`'${text}' is not a date.`, 'Write --from 2026-06-01.');
  return day;
}
