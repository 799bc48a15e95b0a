/**
 * The eight outputs as a meter sees them: what they show, and how often each
 * has been switched.
 *
 * Always holds: only off-to-on and on-to-off count as operations.
 */
import { itemAt } from '../../shared/assert.ts';

/** Levels (0–255) and operations, output 1 first. */
export interface Relays {
  readonly levels: Uint8Array;
  readonly operations: Uint32Array;
}

export const restingRelays = (): Relays => ({ levels: new Uint8Array(8), operations: new Uint32Array(8) });

/** Drives the outputs; true when any level changed. */
export function drive(relays: Relays, levels: ArrayLike<number>): boolean {
  let changed = false;
  for (let output = 0; output < 8; output++) {
    const before = itemAt(relays.levels, output);
    const after = itemAt(levels, output);
    if (before === after) continue;
    changed = true;
    if (before === 0 || after === 0) relays.operations[output] = itemAt(relays.operations, output) + 1;
    relays.levels[output] = after;
  }
  return changed;
}
