/**
 * What a controller finds around it, as its firmware would: memories, clock
 * registers, probe, supply, pins.
 *
 * Always holds: a silent part gives undefined or false, never a guess.
 */

/** The world as the controller's code reaches it. */
export interface Hardware {
  /** Seconds counted by the clock's tick, or by the CPU while the tick is silent. */
  tick(): number;
  /** Since the last tick, in 1/256 s. */
  subSecond(): number;
  readonly tickSilent: boolean;
  /** A line of the bus to clock and log memory is held low: neither can answer. */
  readonly busHeld: boolean;
  /** Registers 00–12 of the battery clock; undefined when it does not answer. */
  readClock(): Uint8Array | undefined;
  /** False when it does not answer. */
  writeClock(at: number, bytes: ArrayLike<number>): boolean;
  /** The EEPROM as it will be once its queue of writes is done. */
  readonly eeprom: Uint8Array;
  writeEeprom(at: number, value: number): void;
  /** The log memory; undefined when it does not answer. */
  readLog(): Uint8Array | undefined;
  writeLogPage(page: number, bytes: Uint8Array): void;
  /** 1/16 °C; undefined when the probe does not answer. */
  probe(): number | undefined;
  /** mV. */
  supply(): number;
  /** Drives the eight outputs, 0–255. */
  show(levels: Uint8Array): void;
}
