/** `status`: what a controller is doing now. */

import type { Command } from 'commander';
import { statusJson, statusLines } from '../../answers/status/text.ts';
import { quantityOption } from '../../jobs/dates.ts';
import { optionalPlan } from '../../jobs/of-plan.ts';
import { type PortOptions, withController } from '../../jobs/port.ts';
import { statusOf } from '../../jobs/status.ts';
import type { Controller } from '../../link/controller.ts';
import { addPortOptions } from '../options/port.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options extends PortOptions {
  readonly plan?: string;
  readonly controller?: string;
  readonly meter?: string;
}

/** Adds what `status` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      'Asks a controller what it is doing now: its clock, its table, which lamps are on, visits due, faults.',
    )
    .option('--plan <file>', 'the plan, for the names of zones and lamps')
    .option('--controller <name>', 'which controller of the plan this is')
    .option(
      '--meter <volts>',
      "what a meter shows between the board's pins 5V and GND now, such as '4.93 V': " +
        'the controller reads its supply right from then on',
    )
    .addHelpText('after', '\nExample:\n  leanward status --port /dev/ttyUSB0 --plan rack.plan.yaml')
    .action((options: Options) => run(options));
}

async function run(options: Options): Promise<void> {
  const metered = quantityOption(options.meter, 'voltage', "--meter '4.93 V'", 'metric');
  const { context, names, name, index } = await optionalPlan(options.plan, options.controller);
  const answer = await withController(options, context, async (controller) => {
    if (metered !== undefined) await holdAgainstMeter(controller, Math.round(metered * 1_000));
    return statusOf(controller, { path: options.plan, name, index }, options);
  });
  if (options.json) sayJson(statusJson(answer));
  else for (const line of statusLines(answer, names)) say(line);
}

async function holdAgainstMeter(controller: Controller, millivolts: number): Promise<void> {
  const before = await controller.meterSupply(millivolts);
  remark(
    `The supply read ${before} mV and is ${millivolts} mV by the meter: the controller knows that from now on.`,
  );
}
