/** `batch`: adds a batch to a plan's file, keeping its comments and layout. */

import type { Command } from 'commander';
import { readPlan } from '../../../compiler/read-plan.ts';
import { appendBatch } from '../../../compiler/write/append-batch.ts';
import { dayFromIso, isoDate } from '../../../shared/civil.ts';
import { planErrors, usage } from '../../failure.ts';
import { readBytes, writeFileSafely } from '../../files/files.ts';
import { list } from '../../words/lists.ts';
import { tellFindings } from '../findings.ts';
import { boardsById } from '../plan-file.ts';
import { remark, say, sayJson } from '../terminal.ts';

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

function run(file: string, options: Options): void {
  const sealed = dayFromIso(options.sealed);
  if (sealed === undefined) throw usage(`'${options.sealed}' is not a date.`, 'Write --sealed 2026-06-15.');
  const zones = options.zones
    .split(',')
    .map((zone) => zone.trim())
    .filter(Boolean);
  if (zones.length === 0) throw usage('No zone is named.', 'Write --zones A or --zones A,C.');
  const boards = boardsById();
  const before = readPlan(readBytes(file), { boards });
  const text = appendBatch(before.text, { ...options, zones, sealed });
  const after = readPlan(text, { boards });
  if (!after.plan) refuse(file, after, before.plan !== undefined);
  const known = new Set(before.plan?.batches.map(({ name }) => name));
  const added = after.plan?.batches.find(({ name }) => !known.has(name));
  writeFileSafely(file, text);
  if (options.json) sayJson({ plan: file, batch: added?.name, zones, sealed: isoDate(sealed) });
  else say(`Added batch ${added?.name ?? ''} in ${list(zones)}, sealed ${isoDate(sealed)}, to ${file}.`);
}

function refuse(file: string, { findings, text }: ReturnType<typeof readPlan>, soundBefore: boolean): never {
  tellFindings(findings, { file, text }, ['note', 'warning']);
  const why = soundBefore ? `with it ${file} would have these errors` : `${file} has errors`;
  remark(`The batch was not added: ${why}. Nothing was written.`);
  throw planErrors();
}
