/**
 * Loads the C core, built as WebAssembly, behind a hardware written in
 * TypeScript.
 *
 * Always holds: the core reaches the world only through `CoreHal`, function by
 * function as `boards/firmware/hal.h` has it.
 */

import type { UtcSeconds } from '../../shared/units.ts';

/** The parts of the WebAssembly interface used here (TypeScript's own are the browser library's). */
interface Memory {
  readonly buffer: ArrayBuffer;
}
type Imports = Record<string, (...values: number[]) => unknown>;
interface WebAssemblyApi {
  readonly Module: new (bytes: Uint8Array) => object;
  readonly Instance: new (module: object, imports: { env: Imports }) => { readonly exports: object };
}
// Node and browsers all have it under this name.
const api = (globalThis as unknown as { readonly WebAssembly: WebAssemblyApi }).WebAssembly;

export const TICK = { none: 0, edge: 1, silent: 2 } as const;
export const PRESS = { none: 0, short: 1, long: 2 } as const;

/** What `hal.h` asks for. Silent parts give undefined or false. */
export interface CoreHal {
  readonly outputs: number;
  readonly boardNumber: number;
  readonly boardId: string;
  eepromRead(at: number): number;
  eepromWrite(at: number, value: number): void;
  eepromBusy(): boolean;
  idle(): void;
  clockRead(register: number, count: number): Uint8Array | undefined;
  clockWrite(register: number, bytes: Uint8Array): boolean;
  logRead(at: number, count: number): Uint8Array | undefined;
  logWrite(at: number, bytes: Uint8Array): boolean;
  busHeld(): boolean;
  tickTake(): number;
  subSecond(): number;
  pressTake(): number;
  output(output: number, level: number): void;
  signals(light: number, sound: number): void;
  probe(): number | undefined;
  supply(): number;
  readonly supplyNeeded: number;
  bootCause(): number;
  send(byte: number): void;
}

/** The core's doors (`boards/firmware/host/wasm.c`). */
interface Doors {
  readonly memory: Memory;
  readonly core_scratch: () => number;
  readonly core_forget: () => void;
  readonly core_kept: () => number;
  readonly core_kept_size: () => number;
  readonly core_beat: () => number;
  readonly core_beat_size: () => number;
  readonly core_start: () => void;
  readonly core_poll: () => void;
  readonly core_receive: (byte: number, silence: number) => void;
  readonly core_busy: () => number;
  readonly core_table_open: (at: number, length: number) => number;
  readonly core_table_level: (output: number, second: number) => number;
  readonly core_crc16: (count: number) => number;
  readonly core_crc8: (count: number) => number;
  readonly core_crc32: (count: number) => number;
}

/** The C core, running. */
export interface Core {
  /** After every reset. */
  start(): void;
  /** Does whatever is due. */
  poll(): void;
  /** A byte from the host after that much silence, `SILENCE` of the register map. */
  receive(byte: number, silence: number): void;
  /** True while a request or a write is in work. */
  readonly busy: boolean;
  /** Memory lost its contents: the retained block is not to be trusted. */
  forget(): void;
  /** Opens the table of `length` bytes at EEPROM address `at`; false when it is none. */
  openTable(at: number, length: number): boolean;
  /** Level byte of output `output` (1–8) of the opened table at `second`, before lag. */
  levelAt(output: number, second: UtcSeconds): number;
  /** Checksums of at most 64 bytes. */
  crc8(bytes: Uint8Array): number;
  crc16(bytes: Uint8Array): number;
  crc32(bytes: Uint8Array): number;
  /** All memory, to be saved, and put back. */
  memory(): Uint8Array;
  restore(memory: Uint8Array): void;
}

const truth = (value: boolean): number => (value ? 1 : 0);

/** Writes `found` to memory at `pointer`; false when there is nothing. */
function give(memory: Memory, pointer: number, found: Uint8Array | undefined): number {
  if (!found) return 0;
  new Uint8Array(memory.buffer).set(found, pointer);
  return 1;
}

function imports(hal: CoreHal, memory: () => Memory): Imports {
  const bytesAt = (pointer: number, count: number): Uint8Array =>
    new Uint8Array(memory().buffer).slice(pointer, pointer + count);
  return {
    hal_output_count: () => hal.outputs,
    hal_board_number: () => hal.boardNumber,
    hal_board_id: (index: number) => hal.boardId.charCodeAt(index) || 0,
    hal_eeprom_read: (at: number) => hal.eepromRead(at),
    hal_eeprom_write: (at: number, value: number) => hal.eepromWrite(at, value & 0xff),
    hal_eeprom_busy: () => truth(hal.eepromBusy()),
    hal_working: () => undefined,
    hal_idle: () => hal.idle(),
    hal_clock_read: (register: number, pointer: number, count: number) =>
      give(memory(), pointer, hal.clockRead(register, count)),
    hal_clock_write: (register: number, pointer: number, count: number) =>
      truth(hal.clockWrite(register, bytesAt(pointer, count))),
    hal_clock_answers: () => truth(hal.clockRead(0, 1) !== undefined),
    hal_log_read: (at: number, pointer: number, count: number) =>
      give(memory(), pointer, hal.logRead(at, count)),
    hal_log_write: (at: number, pointer: number, count: number) =>
      truth(hal.logWrite(at, bytesAt(pointer, count))),
    hal_bus_held: () => truth(hal.busHeld()),
    hal_tick_take: () => hal.tickTake(),
    hal_sub_second: () => hal.subSecond(),
    hal_press_take: () => hal.pressTake(),
    hal_output: (output: number, level: number) => hal.output(output, level & 0xff),
    hal_signals: (light: number, sound: number) => hal.signals(light, sound),
    hal_probe_prepare: () => undefined,
    hal_probe: (pointer: number) => {
      const reading = hal.probe();
      return give(memory(), pointer, reading === undefined ? undefined : sixteenBits(reading));
    },
    hal_supply: () => hal.supply(),
    hal_supply_needed: () => hal.supplyNeeded,
    hal_self_test: () => 0,
    hal_boot_cause: () => hal.bootCause(),
    hal_send: (byte: number) => hal.send(byte & 0xff),
    hal_send_end: () => undefined,
  };
}

const sixteenBits = (value: number): Uint8Array => Uint8Array.of(value & 0xff, (value >> 8) & 0xff);

/** The core in `wasm` (the bytes of `firmware-sim/core.wasm`) behind `hal`. Throws when they are no such module. */
export function loadCore(wasm: Uint8Array, hal: CoreHal): Core {
  const module = new api.Module(Uint8Array.from(wasm));
  const instance = new api.Instance(module, { env: imports(hal, () => doors.memory) });
  // The module is ours; host/wasm.c says what it exports.
  const doors = instance.exports as unknown as Doors;
  const scratch = (bytes: Uint8Array): number => {
    new Uint8Array(doors.memory.buffer).set(bytes, doors.core_scratch());
    return bytes.length;
  };
  const asLoaded = new Uint8Array(doors.memory.buffer).slice();
  // A reset sets all memory as the program wants it, but for what is retained.
  const resetMemory = (): void => {
    const memory = new Uint8Array(doors.memory.buffer);
    const kept = memory.slice(doors.core_kept(), doors.core_kept() + doors.core_kept_size());
    const beat = memory.slice(doors.core_beat(), doors.core_beat() + doors.core_beat_size());
    memory.set(asLoaded);
    memory.set(kept, doors.core_kept());
    memory.set(beat, doors.core_beat());
  };
  return {
    start: () => {
      resetMemory();
      doors.core_start();
    },
    poll: () => doors.core_poll(),
    receive: (byte, silence) => doors.core_receive(byte, silence),
    get busy() {
      return doors.core_busy() !== 0;
    },
    forget: () => doors.core_forget(),
    openTable: (at, length) => doors.core_table_open(at, length) !== 0,
    levelAt: (output, second) => doors.core_table_level(output - 1, second),
    crc8: (bytes) => doors.core_crc8(scratch(bytes)),
    crc16: (bytes) => doors.core_crc16(scratch(bytes)),
    crc32: (bytes) => doors.core_crc32(scratch(bytes)) >>> 0,
    memory: () => new Uint8Array(doors.memory.buffer).slice(),
    restore: (memory) => new Uint8Array(doors.memory.buffer).set(memory),
  };
}
