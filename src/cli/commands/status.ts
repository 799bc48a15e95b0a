/** `status`: what a controller is doing now. */

import type { Command } from 'commander';
import type { Status } from '../../answers/status/status.ts';
import { statusJson, statusLines } from '../../answers/status/text.ts';
import type { Controller } from '../../link/controller.ts';
import { optionalPlan } from '../options/plan.ts';
import { addPortOptions, type PortOptions, withController } from '../options/port.ts';
import { remark, say, sayJson } from '../terminal.ts';

interface Options extends PortOptions {
  readonly plan?: string;
  readonly controller?: string;
}

/** Adds what `status` takes. */
export function define(command: Command): void {
  addPortOptions(command)
    .description(
      'Asks a controller what it is doing now: its clock, its table, which lamps are on, visits due, faults.',
    )
    .option('--plan <file>', 'the plan, for the names of zones and lamps')
    .option('--controller <name>', 'which controller of the plan this is')
    .addHelpText('after', '\nExample:\n  leanward status --port /dev/ttyUSB0 --plan rack.plan.yaml')
    .action((options: Options) => run(options));
}

async function run(options: Options): Promise<void> {
  const { context, names } = await optionalPlan(options.plan, options.controller);
  const answer = await withController(options, context, async (controller) => ({
    ...about(controller, await settledStatus(controller)),
    host: controller.pace.now(),
  }));
  if (options.json) sayJson(statusJson(answer));
  else for (const line of statusLines(answer, names)) say(line);
}

function about(controller: Controller, status: Status) {
  const { board, revision, unit, port } = controller;
  return { status, board, revision, unit, path: port.path };
}

/** Outputs wait up to 9 s after a restart, which opening the port may be. */
const WAIT_LIMIT_MS = 12_000;
const LOOK_EVERY_MS = 500;

/** The status once the outputs have come back after the restart: what is lit before says nothing. */
async function settledStatus(controller: Controller): Promise<Status> {
  let status = await controller.status();
  if (status.state.starting && !controller.port.virtual) {
    remark('Opening the port restarted the controller; waiting a few seconds until its lamps are back.');
  }
  for (let waited = 0; status.state.starting && waited < WAIT_LIMIT_MS; waited += LOOK_EVERY_MS) {
    await controller.pace.wait(LOOK_EVERY_MS);
    status = await controller.status();
  }
  return status;
}
