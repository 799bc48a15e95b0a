/** `status`: what a controller is doing now. */

import { existsSync } from 'node:fs';
import type { Command } from 'commander';
import { decodeTable } from '../../../shared/table-decode.ts';
import { type UtcSeconds, utcSeconds } from '../../../shared/units.ts';
import type { Status } from '../../answers/status/status.ts';
import { type AgainstPlan, statusJson, statusLines } from '../../answers/status/text.ts';
import type { KnownBoard } from '../../archive/known.ts';
import { archiveOf } from '../../jobs/archive.ts';
import { quantityOption } from '../../jobs/dates.ts';
import { optionalPlan } from '../../jobs/of-plan.ts';
import { readPlanFile } from '../../jobs/plan-file.ts';
import { type PortOptions, withController } from '../../jobs/port.ts';
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
    const status = await settledStatus(controller);
    const host = controller.pace.now();
    const bytes = await controller.readRunningTable();
    const decoded = bytes && decodeTable(bytes);
    const now = host.seconds;
    const plan =
      options.plan === undefined || name === undefined || index === undefined
        ? undefined
        : await againstPlan(options.plan, options, { name, index, status, bytes, now });
    const table = decoded?.ok ? decoded.table : undefined;
    return { ...about(controller, status), host, table, ...(plan ? { plan } : {}) };
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

interface Seen {
  readonly name: string;
  /** Index into the plan's controllers. */
  readonly index: number;
  readonly status: Status;
  /** The table that runs. */
  readonly bytes: Uint8Array | undefined;
  readonly now: UtcSeconds;
}

/** The controller against its plan, and against the archive beside it where there is one. */
async function againstPlan(path: string, options: Options, seen: Seen): Promise<AgainstPlan> {
  const { offsetsFor } = await import('../../../compiler/plan/utc-offsets.ts');
  const { behindPlan } = await import('../../jobs/behind.ts');
  const { offsetsAround, civilDayAt } = await import('../../../compiler/plan/place-time.ts');
  const { visitOccurrences } = await import('../../../compiler/timeline/visits.ts');
  const { remindersOnBoard } = await import('../../answers/visits/on-board.ts');
  const plan = readPlanFile(path);
  const { timezone } = plan;
  const { initialQuarters: quarters } = offsetsFor(timezone, seen.now, utcSeconds(seen.now + 1));
  const board = await boardInArchive(path, options, seen);
  const flashed = board?.tables.find((one) => one.crc === seen.status.running?.crc);
  const behind =
    seen.bytes && (await behindPlan(path, { controller: seen.index, bytes: seen.bytes, flashed }, seen.now));
  const today = civilDayAt(timezone, seen.now);
  const offsets = offsetsAround(timezone, seen.now);
  const remindersUntil =
    seen.bytes && remindersOnBoard(seen.bytes, visitOccurrences(plan), seen.index, offsets, today);
  return {
    quarters,
    behind,
    remindersUntil,
    unread: board && Math.max(0, seen.status.logNewest - board.newest),
  };
}

async function boardInArchive(path: string, options: Options, seen: Seen): Promise<KnownBoard | undefined> {
  const { place, name } = archiveOf(path, options);
  if (!existsSync(place)) return undefined;
  const { withArchive } = await import('../../archive/open.ts');
  const { knownBoards } = await import('../../archive/known.ts');
  const boards = await withArchive(place, Date.now(), (archive) => knownBoards(archive, name, seen.name));
  return boards.find((one) => one.identity === seen.status.identity);
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
