/** `check`: reads a plan and says what is wrong, what was assumed, and what the plan will do. */

import type { Command } from 'commander';
import { compilePlan } from '../../../compiler/compile.ts';
import { alikeLines, groupFindings } from '../../answers/check/groups.ts';
import { whyLines } from '../../answers/check/lamps.ts';
import { isLarge, shortLines } from '../../answers/check/short.ts';
import { withStrictness } from '../../answers/check/strict.ts';
import { checkJson, checkLines } from '../../answers/check/text.ts';
import { planErrors } from '../../failure.ts';
import { readBytes, writeFileSafely } from '../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../files/outputs.ts';
import { todayAt } from '../../jobs/dates.ts';
import { face } from '../../jobs/face.ts';
import { tellFindings } from '../../jobs/findings.ts';
import { boardsById, photometryFor } from '../../jobs/plan-file.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options {
  readonly json?: boolean;
  readonly all?: boolean;
  readonly strict?: boolean;
  readonly page?: string;
  readonly force?: boolean;
}

/** Adds what `check` takes. */
export function define(command: Command): void {
  command
    .description(
      'Reads a plan and says everything that is wrong with it, each with its line and what to write instead; ' +
        'then what was assumed, what each zone will get, and how large the schedule table is. Writes nothing.',
    )
    .argument('<plan>', 'the plan file')
    .option('--all', 'tell everything one by one, of a large rack too')
    .option('--strict', 'light that the plan asks for and does not get is an error')
    .option('--page <file>', 'also write a page with pictures: the rack, the weeks, the light')
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward check rack.plan.yaml --page rack.html')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, { json, all, strict, page, force }: Options): Promise<void> {
  checkOutputs({ write: [page], read: [file], force });
  const bytes = readBytes(file);
  const boards = boardsById();
  const result = compilePlan(bytes, {
    boards,
    photometry: photometryFor(bytes, file, boards),
    today: (timezone) => todayAt(timezone, undefined),
  });
  const { text, units } = result;
  const findings = withStrictness(result.findings, strict === true);
  const checked = { ...result, findings };
  if (json) sayJson(checkJson(file, checked));
  else if (!all && isLarge(checked)) {
    for (const line of shortLines(file, checked, face.inColour('say'))) say(line);
  } else {
    for (const line of whyLines(checked)) say(line);
    // They are what was asked for: a file or a pager holds them.
    for (const group of groupFindings(findings, result.plan)) {
      tellFindings([group.told], { file, text, units }, [], 'say', alikeLines(group, units));
    }
    for (const line of checkLines(file, checked)) say(line);
  }
  if (findings.some(({ severity }) => severity === 'error')) throw planErrors();
  if (page !== undefined) {
    const { planPage } = await import('../../answers/check/page.ts');
    writeFileSafely(page, planPage(checked));
    if (!json) remark(`Wrote ${page}.`);
  }
}
