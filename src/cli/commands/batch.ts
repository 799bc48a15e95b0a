/** `batch`: adds a batch to a plan's file, keeping its comments and layout. */

import { existsSync, realpathSync } from 'node:fs';
import type { Command } from 'commander';
import { readPlan } from '../../../compiler/read-plan.ts';
import { appendBatch } from '../../../compiler/write/append-batch.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import { usage } from '../../failure.ts';
import { whileLocked } from '../../files/lock.ts';
import { tryChange, writeChange } from '../../jobs/plan-change.ts';
import { boardsById } from '../../jobs/plan-file.ts';
import { list } from '../../words/lists.ts';
import { say, sayJson } from '../terminal.ts';

interface Options {
  readonly zones: string;
  readonly sealed: string;
  readonly name?: string;
  readonly bag?: string;
  readonly regime?: string;
  readonly enters?: string;
  readonly strain?: string;
  readonly spawn?: string;
  readonly lot?: string;
  readonly note?: string;
  readonly json?: boolean;
}

/** Adds what `batch` takes. */
export function define(command: Command): void {
  command
    .description(
      "Adds a batch to a plan's file, keeping everything that stands there. Nothing is written when the batch does not fit.",
    )
    .argument('<plan>', 'the plan file')
    .requiredOption('--zones <names>', 'the zones it stands in, such as A,C')
    .requiredOption('--sealed <date>', 'the day its bags were sealed')
    .option('--name <name>', 'its name (else named after the day)')
    .option('--bag <name>', 'which bags (when the plan has several kinds)')
    .option('--regime <name>', 'which regime')
    .option(
      '--enters <stage>',
      'the stage with which it comes into its zones; until then it stands elsewhere in the dark',
    )
    .option('--strain <text>', 'the strain')
    .option('--spawn <text>', 'the spawn')
    .option('--lot <text>', 'the lot')
    .option('--note <text>', 'a note')
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExample:\n  leanward batch rack.plan.yaml --zones A,C --sealed 2026-06-15 --lot spring-2',
    )
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, options: Options): Promise<void> {
  const sealed = dayFromIso(options.sealed);
  if (sealed === undefined) throw usage(`'${options.sealed}' is not a date.`, 'Write --sealed 2026-06-15.');
  const zones = options.zones
    .split(',')
    .map((zone) => zone.trim())
    .filter(Boolean);
  if (zones.length === 0) throw usage('No zone is named.', 'Write --zones A or --zones A,C.');
  // Two commands at once add their batches one after the other.
  const place = existsSync(file) ? realpathSync(file) : file;
  await whileLocked(place, () => add(file, { ...options, zones, sealed }, options.json === true));
}

type NewBatch = Parameters<typeof appendBatch>[1];

async function add(file: string, batch: NewBatch, json: boolean): Promise<void> {
  const { zones, sealed } = batch;
  const change = tryChange(file, (text) => appendBatch(text, batch), {
    what: 'The batch was not added',
    day: sealed,
  });
  const boards = boardsById();
  const known = new Set(readPlan(change.before, { boards }).plan?.batches.map(({ name }) => name));
  const added = readPlan(change.after, { boards }).plan?.batches.find(({ name }) => !known.has(name));
  writeChange(change);
  if (json) sayJson({ plan: file, batch: added?.name, zones, sealed: isoDate(sealed) });
  else say(`Added batch ${added?.name ?? ''} in ${list(zones)}, sealed ${isoDate(sealed)}, to ${file}.`);
}
