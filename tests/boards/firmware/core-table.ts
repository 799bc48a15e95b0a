/** The C core as WebAssembly, holding one table and nothing else. */

import { readFileSync } from 'node:fs';
import { type Core, type CoreHal, loadCore } from '../../../firmware-sim/core/core.ts';
import { itemAt } from '../../../shared/assert.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { hex } from '../../firmware-sim/controller/vectors.ts';

export const WASM = readFileSync(
  process.env.LEANWARD_CORE ?? new URL('../../../firmware-sim/core.wasm', import.meta.url),
);

/** A hardware that is nothing but an EEPROM holding `table` at 0. */
export function coreWith(): { core: Core; open: (table: Uint8Array) => boolean } {
  const eeprom = new Uint8Array(1024).fill(0xff);
  const none = (): undefined => undefined;
  const hal: CoreHal = {
    outputs: 8,
    boardNumber: 1,
    boardId: 'test',
    eepromRead: (at) => itemAt(eeprom, at),
    eepromWrite: none,
    eepromBusy: () => false,
    busHeld: () => false,
    idle: none,
    clockRead: none,
    clockWrite: () => false,
    logRead: none,
    logWrite: () => false,
    tickTake: () => 0,
    subSecond: () => 0,
    pressTake: () => 0,
    output: none,
    signals: none,
    probe: none,
    supply: () => 5000,
    supplyNeeded: 4500,
    bootCause: () => 1,
    send: none,
  };
  const core = loadCore(WASM, hal);
  const open = (table: Uint8Array): boolean => {
    eeprom.fill(0xff);
    eeprom.set(table, 0);
    return core.openTable(0, table.length);
  };
  return { core, open };
}

/** All eight output bytes, lag included. */
export function levelsAt(core: Core, utc: number): string {
  return hex(Array.from({ length: 8 }, (_, lag) => core.levelAt(lag + 1, utcSeconds(utc - lag))));
}
