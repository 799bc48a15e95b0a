/** Emulated chips with the committed images, for tests. */

import { readFileSync } from 'node:fs';
import {
  type ChipDevice,
  type ChipDeviceOptions,
  makeChipDevice,
} from '../../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { sure } from '../../../../shared/assert.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS } from '../../../support/boards.ts';
import { START } from '../../controller/host.ts';

/** The committed image of a board. */
export function image(id: string): string {
  return readFileSync(new URL(`../../../../boards/${id}/firmware.hex`, import.meta.url), 'utf8');
}

/** A chip with the power on; its clock is right at `utc`, its room at 23 °C. */
export function chip(options: Partial<ChipDeviceOptions> & { id?: string } = {}): ChipDevice {
  const { id = 'mega328-relay8', ...rest } = options;
  return makeChipDevice({
    board: sure(BOARDS[id]),
    hex: image(id),
    utc: utcSeconds(START),
    clockRight: true,
    probe: 23 * 16,
    ...rest,
  });
}
