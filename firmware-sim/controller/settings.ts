/**
 * Unit address, identity and the chip's reference, kept in two copies.
 *
 * Always holds: copy 0 is written before copy 1, so one of them is always whole.
 */

import { FAULT } from '../../shared/log.ts';
import { DEFAULT_UNIT } from '../../shared/registers.ts';
import {
  readSettings,
  SETTINGS_AT,
  SETTINGS_COPIES,
  SETTINGS_COPY_BYTES,
  type Settings,
  settingsBytes,
} from '../../shared/storage.ts';
import { setFault } from './faults.ts';
import type { SimulatedController } from './state.ts';
import { suppliesWrites } from './supply.ts';

function copyAt(controller: SimulatedController, copy: number): Uint8Array {
  const at = SETTINGS_AT + copy * SETTINGS_COPY_BYTES;
  return controller.hardware.eeprom.subarray(at, at + SETTINGS_COPY_BYTES);
}

/** Takes the settings from the first whole copy and mends the other. Gives the copy mended, -1: none. */
export function loadSettings(controller: SimulatedController): number {
  const copies = [0, 1].map((copy) => readSettings(copyAt(controller, copy)));
  const [first, second] = copies;
  const settings = first ?? second ?? { unit: DEFAULT_UNIT, identity: 0, reference: undefined };
  controller.state.unit = settings.unit;
  controller.state.identity = settings.identity;
  controller.state.reference = settings.reference;
  if ((!first && !second) || !suppliesWrites(controller)) return -1;
  if (first && second && isSame(first, second)) return -1;
  const mended = first ? 1 : 0;
  writeCopy(controller, mended, settings);
  return mended;
}

const isSame = (one: Settings, other: Settings): boolean =>
  one.unit === other.unit && one.identity === other.identity && one.reference === other.reference;

/** Logs that a copy was mended. */
export function tellMended(controller: SimulatedController, copy: number): void {
  if (copy < 0) return;
  setFault(controller, FAULT.settingsMended, true, copy);
  setFault(controller, FAULT.settingsMended, false, copy);
}

/** Keeps the settings as they are, but for what `changed` says. */
export function storeSettings(controller: SimulatedController, changed: Partial<Settings>): void {
  const { unit, identity, reference } = controller.state;
  const settings = { unit, identity, reference, ...changed };
  for (let copy = 0; copy < SETTINGS_COPIES; copy++) writeCopy(controller, copy, settings);
}

function writeCopy(controller: SimulatedController, copy: number, settings: Settings): void {
  settingsBytes(settings).forEach((value, index) => {
    controller.hardware.writeEeprom(SETTINGS_AT + copy * SETTINGS_COPY_BYTES + index, value);
  });
}
