/** A port with an emulated chip at its far end, whose boot loader and firmware speak at speeds of their own. */

import type { BindingInterface } from '@serialport/bindings-cpp';
import type { ChipDevice } from '../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { utcSeconds } from '../../../shared/units.ts';
import type { Port } from '../../../src/link/port.ts';
import { virtualLink } from '../../../src/virtual/binding.ts';
import { START } from '../../firmware-sim/controller/host.ts';

/** The image of an erased chip, Intel HEX. */
export const ERASED = ':00000001FF\n';
export const NOON = utcSeconds(START + 12 * 3600);

/** A port with the chip at its far end, which hears the host at the speed it opened the port with. */
export function portTo(device: ChipDevice): Port {
  device.run(device.micros + 200_000);
  const { binding, pace } = virtualLink(new Happenings(device));
  const open: BindingInterface['open'] = (options) => {
    device.hostBaud = options.baudRate;
    return binding.open(options);
  };
  return {
    path: '/dev/board',
    baudRate: 38_400,
    binding: { list: binding.list, open },
    pace,
    virtual: false,
    remarks: () => [],
    finish: () => undefined,
  };
}
