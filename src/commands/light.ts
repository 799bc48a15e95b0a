/** `light`: what each zone gets, stage by stage, and where it pulls. */

import type { Command } from 'commander';
import { lightReport } from '../../compiler/steer/light-report.ts';
import { usage } from '../failure.ts';
import { compilePlanFile } from '../plan-file.ts';
import { lightText } from '../report/light-text.ts';
import { say, sayJson } from '../terminal.ts';

interface Options {
  readonly photons?: string;
  readonly json?: boolean;
}

/** Adds what `light` takes. */
export function define(command: Command): void {
  command
    .description(
      'Works out the light that reaches each zone, stage by stage: level, the side it pulls to and how far off that is, ' +
        'contrast, light in the dark, lux-hours and energy; then the likely lean of the growth, an estimate.',
    )
    .argument('<plan>', 'the plan file')
    .option('--photons <factor>', 'lux for each µmol/m²/s of your lamps, when you know it (70)')
    .option('--json', 'print the result as JSON')
    .addHelpText('after', '\nExample:\n  leanward light rack.plan.yaml')
    .action((plan: string, options: Options) => run(plan, options));
}

async function run(file: string, { photons, json }: Options): Promise<void> {
  const factor = readFactor(photons);
  const { plan, timeline } = await compilePlanFile(file, undefined);
  const report = lightReport(plan, timeline.field, timeline.steered, factor);
  if (json) sayJson(report);
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
