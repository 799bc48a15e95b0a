/**
 * Makes the devices that a virtual port can have at its far end.
 *
 * Always holds: a device comes back from its image exactly as it was; a kind's
 * code is loaded only when that kind is asked for.
 */

import type { Device, DeviceImage } from '../../firmware-sim/device.ts';
import type { Board } from '../../shared/board.ts';
import type { UtcSeconds } from '../../shared/units.ts';
import { type Failure, usage } from '../failure.ts';
import { projectText } from '../files/project-file.ts';

/** `simulated`: the controller in TypeScript. `chip`: the firmware's machine code in an emulator. */
export type DeviceKind = 'simulated' | 'chip';

interface Make {
  readonly board: Board;
  readonly utc: UtcSeconds;
  readonly image?: DeviceImage;
}

/** A new virtual controller's clock is right, and its room stays at this temperature until an event says otherwise. */
const ROOM_SIXTEENTHS = 24 * 16;

const MAKERS: Partial<Record<DeviceKind, (make: Make) => Promise<Device>>> = {
  simulated: async (make) => {
    const { makeSimulatedDevice } = await import('../../firmware-sim/simulated-device.ts');
    return makeSimulatedDevice({ ...make, clockRight: true, probe: ROOM_SIXTEENTHS });
  },
  chip: async (make) => {
    const { makeChipDevice } = await import('../../firmware-sim/chips/atmega328p/chip-device.ts');
    const hex = projectText(`boards/${make.board.id}/firmware.hex`);
    return makeChipDevice({ ...make, hex, clockRight: true, probe: ROOM_SIXTEENTHS });
  },
};

/** Whether this build has devices of a kind. */
export function isMade(kind: DeviceKind): boolean {
  return MAKERS[kind] !== undefined;
}

/** A new device whose world begins at `utc`. */
export function makeDevice(kind: DeviceKind, board: Board, utc: UtcSeconds): Promise<Device> {
  const maker = MAKERS[kind];
  if (maker === undefined) throw notHere(kind);
  return maker({ board, utc });
}

/** A device as it was saved in `file`. */
export async function restoreDevice(
  image: DeviceImage,
  board: Board,
  utc: UtcSeconds,
  file: string,
): Promise<Device> {
  const maker = MAKERS[image.kind === 'leanward-chip' ? 'chip' : 'simulated'];
  if (maker === undefined) throw notHere(image.kind);
  try {
    return await maker({ board, utc, image });
  } catch (error) {
    // Files from before there was a check can hold anything.
    const why = error instanceof Error ? error.message : String(error);
    throw usage(
      `${file} cannot be read as a virtual controller: ${why}.`,
      'Start a new one in another file.',
    );
  }
}

function notHere(kind: string): Failure {
  return usage(
    `This Leanward has no virtual controller of the kind '${kind}'.`,
    'Leave it out: --port virtual:FILE',
  );
}
