/**
 * The frame in which some work talks to a controller: open the port, work,
 * close, and save a virtual controller whatever happens.
 */

import { DEFAULT_UNIT, FORBIDDEN_UNIT } from '../../shared/registers.ts';
import { usage } from '../failure.ts';
import { Controller } from '../link/controller.ts';
import type { Port } from '../link/port.ts';
import { face } from './face.ts';
import { openPort, type PortContext } from './open-port.ts';

/** Which port, and what a virtual one takes. */
export interface PortOptions {
  readonly port?: string;
  readonly unit?: number;
  readonly at?: string;
  readonly board?: string;
  readonly advance?: string;
  readonly event?: readonly string[];
  readonly json?: boolean;
}

/** Reads the number of a unit. */
export function unitNumber(text: string): number {
  const unit = Number(text);
  if (Number.isInteger(unit) && unit >= 1 && unit <= 247 && unit !== FORBIDDEN_UNIT) return unit;
  throw usage(`'${text}' is not a unit number.`, `Give a number from 1 to 247, but not ${FORBIDDEN_UNIT}.`);
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
  const halt = face.halting(() => opened.finish());
  const port = { ...opened, pace: halt.over(opened.pace) };
  try {
    return await work(port, options.unit ?? context.unit ?? DEFAULT_UNIT);
  } finally {
    halt.end();
    for (const words of port.remarks()) face.remark(words);
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
