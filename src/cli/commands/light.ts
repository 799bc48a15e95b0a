/** `light`: what each zone gets, stage by stage, and where it pulls. */

import type { Command } from 'commander';
import { lightReport } from '../../../compiler/advice/light-report.ts';
import { bagLives } from '../../answers/bags/lives.ts';
import { withoutBags } from '../../answers/book/culls.ts';
import { steeredForBagsLeft } from '../../answers/light/bags-left.ts';
import { isLongReport, shortLightText } from '../../answers/light/short.ts';
import { lightText } from '../../answers/light/text.ts';
import { usage } from '../../failure.ts';
import { ARCHIVE_OPTION, archiveToRead } from '../../jobs/archive.ts';
import { compilePlanFile, photometryOf } from '../../jobs/plan-file.ts';
import { say, sayJson } from '../terminal.ts';

interface Options {
  readonly archive?: string;
  readonly photons?: string;
  readonly all?: boolean;
  readonly json?: boolean;
}

/** Adds what `light` takes. */
export function define(command: Command): void {
  command
    .description(
      'Works out the light that reaches each zone, stage by stage: level, the side it pulls to and how far off that is, ' +
        'contrast, light in the dark, lux-hours and energy; then the likely lean of the growth, an estimate.\n' +
        'Bags that are out no longer count.',
    )
    .argument('<plan>', 'the plan file')
    .option('--photons <factor>', 'lux for each µmol/m²/s of your lamps, when you know it (70)')
    .option('--all', 'tell each zone, output and shelf, of a large rack too')
    .option(...ARCHIVE_OPTION)
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward light rack.plan.yaml')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, options: Options): Promise<void> {
  const { photons, json } = options;
  const factor = readFactor(photons);
  const { plan, timeline } = await compilePlanFile(file, undefined);
  const { notesIn } = await import('../../jobs/book/of-plan.ts');
  const { todayIn } = await import('../../jobs/visits/today.ts');
  const where = await archiveToRead(file, options);
  const notes = await notesIn(where, options);
  const steered = steeredForBagsLeft(plan, timeline.steered, notes, photometryOf(file));
  const { day } = await todayIn(plan, where);
  const left = withoutBags(plan, bagLives(plan, notes), day);
  const report = lightReport(left, timeline.field, steered, factor);
  if (json) sayJson(report);
  else if (options.all !== true && isLongReport(report)) say(shortLightText(plan, report));
  else say(lightText(report));
}

function readFactor(text: string | undefined): number | undefined {
  if (text === undefined) return undefined;
  const factor = Number(text);
  if (factor > 0 && factor < 1000) return factor;
  throw usage(
    `'${text}' is not a factor.`,
    'Write --photons 70; warm white lamps lie between about 50 and 75.',
  );
}
