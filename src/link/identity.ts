/**
 * The number that tells one controller from all others: given at the first
 * flash, kept by the controller over power cuts, the key of its log's archive.
 *
 * Always holds: it is never 0, which stands for none.
 */

import { randomInt } from 'node:crypto';
import type { Controller } from './controller.ts';

/** A number that no controller has yet, as good as certainly. */
export function newIdentity(): number {
  return randomInt(1, 0xffffffff);
}

/** The controller's identity; one is given to it when it has none. */
export async function giveIdentity(controller: Controller): Promise<number> {
  const { identity } = await controller.status();
  if (identity !== 0) return identity;
  const given = newIdentity();
  await controller.setIdentity(given);
  return given;
}
