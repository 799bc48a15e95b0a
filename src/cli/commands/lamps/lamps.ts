/** `lamps`: lights each lamp in turn and asks whether it is the right one. */

import type { Command } from 'commander';
import { EXIT } from '../../../failure.ts';
import { showLamps, verdictLines } from '../../../jobs/lamps.ts';
import { optionalPlan } from '../../../jobs/of-plan.ts';
import { type PortOptions, withController } from '../../../jobs/port.ts';
import { addPortOptions } from '../../options/port.ts';
import { canAsk, say, sayJson } from '../../terminal.ts';

interface Options extends PortOptions {
  readonly controller?: string;
  readonly yes?: boolean;
}

/** Adds what `lamps` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description('Lights each lamp in turn by its name in the plan and asks whether it is the right one.')
    .argument('[plan]', 'the plan file; without it every output is lit by its number')
    .option('--controller <name>', 'which controller of the plan this is')
    .option('--yes', 'do not ask: light each for three seconds')
    .addHelpText('after', '\nExample:\n  leanward lamps rack.plan.yaml --port /dev/ttyUSB0')
    .action((plan: string | undefined, options: Options) => run(plan, options));
}

async function run(path: string | undefined, options: Options): Promise<void> {
  const { context, names } = await optionalPlan(path, options.controller);
  const asking = canAsk() && !options.yes && !options.json;
  const shown = await withController(options, context, (controller) => showLamps(controller, names, asking));
  if (options.json) sayJson({ lamps: shown });
  else for (const line of verdictLines(shown)) say(line);
  if (shown.some(({ verdict }) => verdict === 'wrong' || verdict === 'did not light'))
    process.exitCode = EXIT.plan;
}
