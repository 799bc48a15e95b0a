/**
 * The options of every command that talks to a controller, and the frame in
 * which it does: open the port, work, close, and save a virtual controller
 * whatever happens.
 */

import type { Command } from 'commander';
import { DEFAULT_UNIT, FORBIDDEN_UNIT } from '../../../shared/registers.ts';
import { usage } from '../../failure.ts';
import { Controller } from '../../link/controller.ts';
import type { Port } from '../../link/port.ts';
import { Interruption } from '../signals.ts';
import { remark } from '../terminal.ts';
import { openPort, type PortContext } from './open-port.ts';

export interface PortOptions {
  readonly port?: string;
  readonly unit?: number;
  readonly at?: string;
  readonly board?: string;
  readonly advance?: string;
  readonly event?: readonly string[];
  readonly json?: boolean;
}

/** Adds --port, --unit and what a virtual port takes. */
export function addPortOptions(command: Command): Command {
  return command
    .option('--port <port>', 'serial port, or virtual, or virtual:FILE for a controller inside this program')
    .option('--unit <n>', 'unit number of the controller (1 unless it was changed)', readUnit)
    .option('--at <time>', 'virtual only: the date (or date and time) a new virtual controller starts at')
    .option('--board <id>', 'virtual only: the board of a new virtual controller')
    .option('--advance <time>', 'virtual only: let this much time pass first, such as 7d')
    .option(
      '--event <event>',
      "virtual only: make something happen, such as '+2d cut 2h'; may be repeated (see leanward virtual --help)",
      eachGiven,
    )
    .option('--json', 'print the result as JSON');
}

/** Reads --unit. */
export function readUnit(text: string): number {
  const unit = Number(text);
  if (Number.isInteger(unit) && unit >= 1 && unit <= 247 && unit !== FORBIDDEN_UNIT) return unit;
  throw usage(`'${text}' is not a unit number.`, `Give a number from 1 to 247, but not ${FORBIDDEN_UNIT}.`);
}

/** Gathers an option that may be given several times. */
export function eachGiven(text: string, before: readonly string[] | undefined): readonly string[] {
  return [...(before ?? []), text];
}

/** What the command knows beside its options: the plan's place, first day and boards. */
export interface LinkContext extends PortContext {
  /** Unit by the plan; `--unit` goes before. */
  readonly unit?: number;
}

/** Runs `work` with an open port. */
export async function withPort<T>(
  options: PortOptions,
  context: LinkContext,
  work: (port: Port, unit: number) => Promise<T>,
): Promise<T> {
  const opened = await openPort(options, context);
  const interruption = new Interruption(() => opened.finish());
  const port = { ...opened, pace: interruption.over(opened.pace) };
  try {
    return await work(port, options.unit ?? context.unit ?? DEFAULT_UNIT);
  } finally {
    interruption.end();
    for (const words of port.remarks()) remark(words);
    port.finish();
  }
}

/** Runs `work` with a controller that has answered. */
export function withController<T>(
  options: PortOptions,
  context: LinkContext,
  work: (controller: Controller) => Promise<T>,
): Promise<T> {
  return withPort(options, context, async (port, unit) => {
    const controller = await Controller.open(port, unit);
    try {
      return await work(controller);
    } finally {
      await controller.close();
    }
  });
}
