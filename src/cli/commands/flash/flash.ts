/** `flash`: puts a plan's schedule table on its controller. */

import type { Command } from 'commander';
import { ARCHIVE_OPTION } from '../../../jobs/archive.ts';
import { flashPlan } from '../../../jobs/flash/flash-plan.ts';
import { STEP_CLOCK_OPTION } from '../../../jobs/host-clock.ts';
import type { PortOptions } from '../../../jobs/port.ts';
import { addPortOptions } from '../../options/port.ts';

export interface FlashOptions extends PortOptions {
  readonly controller?: string;
  readonly archive?: string;
  readonly dropDays?: boolean;
  readonly spare?: boolean;
  readonly stepClock?: boolean;
  readonly yes?: boolean;
}

/** Adds what `flash` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      'Checks the plan, shows what changes from now on, sets the clock, and puts the schedule table on the controller. ' +
        'The table is read back and confirmed; until then the one from before comes back by itself.',
    )
    .argument('<plan>', 'the plan file')
    .option(
      '--controller <name>',
      'which controller of the plan this is; with several, flash one after another',
    )
    .option(...ARCHIVE_OPTION)
    .option('--spare', 'this board takes the place of the one that had its name so far')
    .option('--drop-days', 'go on although lamps lose days of light that the table on board still has')
    .option(...STEP_CLOCK_OPTION)
    .option('--yes', 'do not ask before writing')
    .addHelpText(
      'after',
      '\nExamples:\n' +
        '  leanward flash rack.plan.yaml --port /dev/ttyUSB0\n' +
        '  leanward flash rack.plan.yaml --port virtual:rack.json     (no hardware needed)',
    )
    .action((plan: string, options: FlashOptions) => flashPlan(plan, options));
}
