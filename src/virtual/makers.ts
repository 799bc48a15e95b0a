/**
 * Makes the devices that a virtual port can have at its far end.
 */

import type { Device, DeviceImage } from '../../firmware-sim/device.ts';
import type { Board } from '../../shared/board.ts';
import type { UtcSeconds } from '../../shared/units.ts';
import { usage } from '../failure.ts';

/** `simulated`: the controller in TypeScript. `chip`: the firmware's machine code in an emulator. */
export type DeviceKind = 'simulated' | 'chip';

/** A new device whose world begins at `start`. */
export async function makeDevice(kind: DeviceKind, board: Board, start: UtcSeconds): Promise<Device> {
  throw usage(`no ${kind} ${board.id} ${start}`);
}

/** A device as it was saved in `file`. */
export async function restoreDevice(image: DeviceImage, board: Board, file: string): Promise<Device> {
  throw usage(`no ${image.kind} ${board.id} ${file}`);
}
