/**
 * The supply as the controller measures it: against the chip's reference, which
 * somebody may have held against a meter (behaviour.md, section 4).
 *
 * Always holds: whoever asks for the supply asks here.
 */

import { REFERENCE_MILLIVOLTS } from '../../shared/behaviour.ts';
import type { SimulatedController } from './state.ts';

/** Millivolts by a reference of `reference` mV (undefined: as it is taken for); rounded down. */
function supplyBy({ hardware }: SimulatedController, reference: number | undefined): number {
  const measured = hardware.supply();
  return reference === undefined ? measured : Math.floor((measured * reference) / REFERENCE_MILLIVOLTS);
}

/** The supply, mV. */
export function measuredSupply(controller: SimulatedController): number {
  return supplyBy(controller, controller.state.reference);
}

/** The supply is good enough to write to the EEPROM, by the reference as it is or by another one. */
export function suppliesWrites(
  controller: SimulatedController,
  reference = controller.state.reference,
): boolean {
  return supplyBy(controller, reference) >= controller.board.supplyNeeded;
}
