/**
 * A board whose firmware is older than what Leanward brings: said, and where
 * somebody sits it is put on first.
 *
 * Always holds: nothing is written unless it was agreed to; a table stays.
 */

import { FIRMWARE_REVISION } from '../../../shared/registers.ts';
import type { Controller } from '../../link/controller.ts';
import type { Port } from '../../link/port.ts';
import { face } from '../face.ts';
import { install } from '../install.ts';

/** Whether revision `seen` (`major.minor`) comes before `ours`; one that cannot be read does. */
export function isOlder(seen: string, ours: string): boolean {
  const [seenMajor = 0, seenMinor = 0] = seen.split('.').map((part) => Number.parseInt(part, 10) || 0);
  const [major = 0, minor = 0] = ours.split('.').map(Number);
  return seenMajor < major || (seenMajor === major && seenMinor < minor);
}

/**
 * Tells of older firmware; with `ask` (undefined: nobody sits there) asks, and puts the
 * newer image on. True when it did: the controller is closed then and must be opened anew.
 */
export async function offerFirmware(
  controller: Controller,
  port: Port,
  ask: ((question: string) => Promise<boolean>) | undefined,
): Promise<boolean> {
  const { revision, board } = controller;
  if (port.virtual || !isOlder(revision, FIRMWARE_REVISION)) return false;
  const told = `The board runs firmware ${revision}; this Leanward brings ${FIRMWARE_REVISION}.`;
  const question = `${told} Put it on first, over USB (lamps are dark for about half a minute)?`;
  if (!ask || !(await ask(question))) {
    face.remark(
      `${ask ? 'The firmware stays as it is.' : told} \`leanward install --port ${port.path}\` puts the newer one on.`,
    );
    return false;
  }
  const { unit } = controller;
  await controller.close();
  await install(port, unit, board.id);
  return true;
}
