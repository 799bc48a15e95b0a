/**
 * The number that tells one controller from all others: given at the first
 * flash, kept by the controller over power cuts, the key of its log's archive.
 */

import { randomInt } from 'node:crypto';
import type { Controller } from '../../../link/controller.ts';

/** The controller's identity; one is given to it when it has none. */
export async function giveIdentity(controller: Controller): Promise<number> {
  const { identity } = await controller.status();
  if (identity !== 0) return identity;
  const given = randomInt(1, 0xffffffff);
  await controller.setIdentity(given);
  return given;
}
