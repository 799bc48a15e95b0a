/**
 * Every bootloader with every reset: whether the program runs again, with the
 * right cause, and after how long all lamps are back. Needs what the long test
 * of the loaders needs (Debian).
 */

import { CASES, restartBehind } from '../firmware-sim/chips/atmega328p/loader-resets.ts';
import type { Row } from './row.ts';

/** A row for each loader and reset. */
export async function rows(): Promise<Row[]> {
  return CASES.map(([name, reset]) => {
    const { dark, seconds, most, cause, causeWanted, told, toldWanted } = restartBehind(name, reset);
    const right = cause === causeWanted && told === toldWanted;
    const state = Number.isFinite(seconds) ? `running, cause ${right ? 'right' : `${cause}: WRONG`}` : 'DARK';
    return {
      name: `${name}; ${reset}: ${state}`,
      value: `${seconds.toFixed(1)} s`,
      limit: `≤ ${most.toFixed(1)} s`,
      met: dark && right && seconds <= most,
    };
  });
}
