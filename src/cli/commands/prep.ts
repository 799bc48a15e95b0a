/** `prep`: the bag sheet, what to weigh out for each batch. */

import type { Command } from 'commander';
import type { Units } from '../../../shared/measures.ts';
import { usage } from '../../failure.ts';
import { writeFileSafely } from '../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../files/outputs.ts';
import { ARCHIVE_OPTION } from '../../jobs/archive.ts';
import { notesOf } from '../../jobs/book/of-plan.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { list } from '../../words/lists.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options {
  readonly units?: string;
  readonly extra?: string;
  readonly page?: string;
  readonly archive?: string;
  readonly force?: boolean;
  readonly json?: boolean;
}

/** Adds what `prep` takes. */
export function define(command: Command): void {
  command
    .description(
      "Says what to weigh out for each batch: parts by their own moisture, water, spawn; the block's height and what is left above it.",
    )
    .argument('<plan>', 'the plan file')
    .argument('[batch]', 'one batch (all of them otherwise)')
    .option('--units <kind>', 'metric or us (as the plan is written otherwise)')
    .option('--extra <share>', 'mix so much more for what is spilt and sticks, such as 5%')
    .option('--page <file>', 'also write a page to print')
    .option(...ARCHIVE_OPTION)
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward prep rack.plan.yaml spring --page spring.html')
    .action((plan: string, batch: string | undefined, options: Options) => run(plan, batch, options));
}

async function run(path: string, batch: string | undefined, options: Options): Promise<void> {
  checkOutputs({ write: [options.page], read: [path, options.archive], force: options.force });
  const plan = readPlanFile(path);
  const batches = plan.batches.filter((one) => batch === undefined || one.name === batch);
  if (batches.length === 0) {
    throw usage(`The plan has no batch '${batch}'.`, `It has ${list(plan.batches.map((one) => one.name))}.`);
  }
  const units = unitsFor(options.units, plan.units);
  const { sheetPart } = await import('../../answers/prep/kept.ts');
  const extra = extraFor(options.extra);
  const notes = await notesOf(path, options);
  const sheets = batches.map((one) => sheetPart(plan, one, notes, units, extra));
  if (options.json)
    sayJson({ units, batches: sheets.map(({ figures, steps, kept }) => ({ ...figures, steps, kept })) });
  else {
    const { benchNotes, partsText } = await import('../../answers/prep/text.ts');
    say([partsText(sheets), benchNotes(units).join('\n')].join('\n\n'));
  }
  if (extra > 0 && sheets.some(({ kept }) => kept !== undefined)) {
    remark('--extra does not change the sheet of a batch that is sealed.');
  }
  if (options.page === undefined) return;
  const { sheetPage } = await import('../../answers/prep/page.ts');
  writeFileSafely(options.page, sheetPage(plan.title || path, sheets, units));
  if (!options.json) remark(`Wrote ${options.page}.`);
}

/** `5%` as 0.05. */
function extraFor(asked: string | undefined): number {
  if (asked === undefined) return 0;
  const percent = /^(\d+(?:\.\d+)?)\s*%$/.exec(asked)?.[1];
  if (percent !== undefined && Number(percent) <= 50) return Number(percent) / 100;
  throw usage(`'${asked}' is no share to mix on top.`, 'Write a share up to 50 %, such as --extra 5%.');
}

/** The units asked for, else those that the plan is written in. */
function unitsFor(asked: string | undefined, written: Units): Units {
  if (asked === undefined) return written;
  if (asked === 'metric' || asked === 'us') return asked;
  throw usage(`'${asked}' are no units.`, 'Write --units metric or --units us.');
}
