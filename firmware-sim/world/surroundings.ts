/**
 * What the controller can measure but not change: the probe, the supply, and
 * the troubles a test may cause.
 *
 * Always holds: readings depend on nothing but this data.
 */

import type { Board } from '../../shared/board.ts';
import type { Trouble } from '../device.ts';

/** Millivolts above what writes need when all is well, and below it when the supply sags. */
const SUPPLY_ABOVE = 500;
const SUPPLY_BELOW = 200;

/** `probe`: 1/16 °C; undefined when no probe answers. */
export interface Surroundings {
  probe: number | undefined;
  readonly troubles: Partial<Record<Trouble, boolean>>;
}

/** Temperature in 1/16 °C, or undefined. */
export function readProbe(around: Surroundings): number | undefined {
  return around.troubles['probe silent'] ? undefined : around.probe;
}

/** True when the battery clock does not answer: by itself, or with its bus. */
export function clockSilent({ troubles }: Surroundings): boolean {
  return troubles['clock silent'] === true || troubles['bus held'] === true;
}

/** True when the log memory does not answer: by itself, or with its bus. */
export function logSilent({ troubles }: Surroundings): boolean {
  return troubles['log silent'] === true || troubles['bus held'] === true;
}

/** Supply of a board in mV. */
export function readSupply(around: Surroundings, { supply }: Board): number {
  const { neededMillivolts } = supply;
  return neededMillivolts + (around.troubles['supply low'] ? -SUPPLY_BELOW : SUPPLY_ABOVE);
}
