/** `labels`: sheets of labels to print, one a bag, with a code to scan. */

import type { Command } from 'commander';
import { itemAt } from '../../../shared/assert.ts';
import type { BagLife } from '../../answers/bags/lives.ts';
import { bagLives } from '../../answers/bags/lives.ts';
import { type BagLabel, bagLabels } from '../../answers/labels/labels.ts';
import { labelsCut, labelsPage } from '../../answers/labels/page.ts';
import {
  type LabelSheet,
  labelSheet,
  type Paper,
  placeOfLabel,
  SHEET_NAMES,
} from '../../answers/labels/sheets.ts';
import { usage } from '../../failure.ts';
import { writeFileSafely } from '../../files/files.ts';
import { checkOutputs, FORCE_OPTION } from '../../files/outputs.ts';
import { ARCHIVE_OPTION } from '../../jobs/archive.ts';
import { notesOf } from '../../jobs/book/of-plan.ts';
import { bagsFor } from '../../jobs/book/open-book.ts';
import { todayAt } from '../../jobs/dates.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { list } from '../../words/lists.ts';
import { say, sayJson } from '../terminal.ts';

interface Options {
  readonly page: string;
  readonly sheet?: string;
  readonly paper?: string;
  readonly skip?: string;
  readonly day?: string;
  readonly archive?: string;
  readonly force?: boolean;
  readonly json?: boolean;
}

/** Adds what `labels` takes. */
export function define(command: Command): void {
  command
    .description(
      "Writes sheets of labels to print: a bag's name, sealing day, lot and mix, and a QR code of the plain name.\n" +
        'Without names it makes one for every bag that is not out.',
    )
    .argument('<plan>', 'the plan file')
    .argument('[who...]', 'batches, such as spring, or bags, such as spring-07 or A-2')
    .requiredOption('--page <file>', 'the page to write')
    .option('--sheet <sheet>', `${list(SHEET_NAMES)}, or how many across and down, such as 4x6`)
    .option('--paper <size>', 'a4 or letter, of a sheet given by numbers (as the plan is written otherwise)')
    .option('--skip <n>', 'labels of the first sheet that are used already')
    .option('--day <date>', 'the day to take as today')
    .option(...ARCHIVE_OPTION)
    .option(...FORCE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText(
      'after',
      '\nExample:\n  leanward labels rack.plan.yaml spring --page labels.html --sheet a4-24',
    )
    .action((plan: string, who: string[], options: Options) => run(plan, who, options));
}

async function run(path: string, who: readonly string[], options: Options): Promise<void> {
  checkOutputs({ write: [options.page], read: [path, options.archive], force: options.force });
  const plan = readPlanFile(path);
  const day = todayAt(plan.timezone, options.day);
  const lives = bagLives(plan, await notesOf(path, options));
  const chosen = who.length === 0 ? lives.filter(({ out }) => !out) : who.flatMap((word) => named(word));
  const labels = bagLabels(plan, [...new Set(chosen)], day);
  if (labels.length === 0) throw usage('There is no bag to label: all are out.', 'Name the bags.');
  const usual = plan.units === 'us' ? 'letter-30' : 'a4-21';
  const sheet = labelSheet(options.sheet ?? usual, paperOf(options.paper, plan.units));
  const skip = skipped(options.skip, sheet);
  writeFileSafely(options.page, labelsPage(plan.title || path, labels, sheet, skip));
  const sheets = placeOfLabel(sheet, skip + labels.length - 1).sheet + 1;
  if (options.json) sayJson({ page: options.page, labels: labels.length, sheets });
  else say(summary(options.page, labels, sheet, skip, sheets));

  function named(word: string): BagLife[] {
    const batch = plan.batches.findIndex(({ name }) => name === word);
    if (batch >= 0) return lives.filter((life) => life.batch === batch && !life.out);
    return bagsFor({ plan, lives, day }, [word]);
  }
}

function paperOf(asked: string | undefined, units: 'metric' | 'us'): Paper {
  if (asked === undefined) return units === 'us' ? 'letter' : 'a4';
  if (asked === 'a4' || asked === 'letter') return asked;
  throw usage(`'${asked}' is no paper.`, 'Write --paper a4 or --paper letter.');
}

function skipped(asked: string | undefined, { across, down }: LabelSheet): number {
  const skip = Number(asked ?? 0);
  if (Number.isInteger(skip) && skip >= 0 && skip < across * down) return skip;
  throw usage(`'${asked}' is not a number of labels on a sheet of ${across * down}.`, 'Write --skip 5.');
}

/** What was written, and on which sheets each shelf is. */
function summary(
  page: string,
  labels: readonly BagLabel[],
  sheet: LabelSheet,
  skip: number,
  sheets: number,
): string {
  const count = (n: number, word: string): string => `${n} ${word}${n === 1 ? '' : 's'}`;
  const lines = [`Wrote ${page}: ${count(labels.length, 'label')} on ${count(sheets, 'sheet')}.`];
  const cut = labelsCut(labels, sheet);
  if (cut > 0) lines.push(`${count(cut, 'label')} had no room for every line: a larger label has.`);
  const shelves = [...new Set(labels.map(({ shelf }) => shelf))];
  for (const shelf of shelves.length > 1 ? shelves : []) {
    const mine = labels.flatMap((label, i) =>
      label.shelf === shelf ? [placeOfLabel(sheet, i + skip).sheet + 1] : [],
    );
    const [from, to] = [itemAt(mine, 0), itemAt(mine, mine.length - 1)];
    const where = from === to ? `sheet ${from}` : `sheets ${from} to ${to}`;
    lines.push(`  ${shelf === '' ? 'no place' : shelf}: ${count(mine.length, 'label')}, ${where}`);
  }
  return lines.join('\n');
}
