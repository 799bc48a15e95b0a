/**
 * The simulated controller in its world: virtual time, the line, power, and
 * the controller's program run at the right microseconds.
 *
 * Always holds: time moves only in `run`; the same calls give the same bytes
 * and levels.
 */

import { sure } from '../shared/assert.ts';
import type { Board } from '../shared/board.ts';
import { BOOT_CAUSE } from '../shared/log.ts';
import { type UtcSeconds, utcSeconds } from '../shared/units.ts';
import type { Hardware } from './controller/hardware.ts';
import { SILENCE_MICROS, takeByte, takeSilence } from './controller/modbus.ts';
import { beginWorkLight, endWorkLight, isWorkLight } from './controller/overlays.ts';
import { finishRequest, takeFrame } from './controller/requests.ts';
import { nextBusySecond, passTime, react } from './controller/second.ts';
import { signalsAt } from './controller/signals.ts';
import { startController } from './controller/start.ts';
import { freshRetained, freshState, type Retained, type SimulatedController } from './controller/state.ts';
import { reloadTable } from './controller/tables.ts';
import { answerPress } from './controller/visits.ts';
import type { Device, DeviceImage, Micros, Trouble } from './device.ts';
import {
  clockMicrosAt,
  clockRegisters,
  clockSecondAt,
  loseTime,
  microsOfSecond,
  writeClockRegisters,
} from './world/battery-clock.ts';
import { longPressAt, moveButton } from './world/button.ts';
import { holdTable, writeByte } from './world/eeprom.ts';
import { writePage } from './world/log-memory.ts';
import { forgetQueue, settle, tear, writeEnd } from './world/memory.ts';
import { drive } from './world/relays.ts';
import { clockSilent, logSilent, readProbe, readSupply } from './world/surroundings.ts';
import { LINE_BUFFER_BYTES, newWorld, type World, worldFrom, worldImage } from './world/world.ts';

const SECOND = 1_000_000;
/** Microseconds from power to program: the fuses' start-up delay of 65 ms (from memory). */
const POWER_ON_MICROS = 65_000;
/** After an external reset the bootloader listens for a second first (Optiboot's watchdog time-out, from memory). */
const BOOTLOADER_MICROS = 1_000_000 + POWER_ON_MICROS;
/** From a request's last byte to the answer's first. Common practice, no source. */
const TURNAROUND_MICROS = 500;
/** Start, eight data and stop bits. */
const BITS_PER_BYTE = 10;
const DARKNESS = new Uint8Array(8);

export interface SimulatedDeviceOptions {
  readonly board: Board;
  /** True UTC when the world begins. */
  readonly utc: UtcSeconds;
  /** Decides how writes tear. */
  readonly seed?: number;
  /** Parts per million by which the battery clock runs fast. */
  readonly driftPpm?: number;
  /** The battery clock is right when the world begins; else it has never been set. */
  readonly clockRight?: boolean;
  /** 1/16 °C; undefined: no probe. */
  readonly probe?: number | undefined;
  /** A table that already stands confirmed in slot 0. */
  readonly table?: Uint8Array;
  /** Goes on from a saved world; the options above then do not count, but for the board. */
  readonly image?: DeviceImage;
}

/** A device that can also be restarted for any reason, and looked into by tests. */
export interface SimulatedDevice extends Device {
  /** Restarts the chip with the power on: `external` or `watchdog`. */
  reset(cause: 'external' | 'watchdog'): void;
  /** EEPROM and log memory as they physically are; without power a test may change them. */
  readonly memories: { readonly eeprom: Uint8Array; readonly log: Uint8Array };
}

/** A simulated controller with the power on. Throws a RangeError when the image does not fit. */
export function makeSimulatedDevice(options: SimulatedDeviceOptions): SimulatedDevice {
  const { board, utc, seed = 1, driftPpm = 0, clockRight = false, probe, image } = options;
  const world = image
    ? worldFrom(image, board.id)
    : newWorld({ boardId: board.id, utc, seed, driftPpm, clockRight, probe });
  if (options.table && !image) holdTable(world.eeprom, options.table);
  const device = new Simulated(board, world);
  if (!image) device.setPower(true);
  return device;
}

class Simulated implements SimulatedDevice {
  onLevels: ((utc: UtcSeconds, levels: Uint8Array) => void) | undefined;
  private readonly controller: SimulatedController;
  private readonly byteMicros: number;

  constructor(
    board: Board,
    private readonly world: World,
  ) {
    this.byteMicros = (BITS_PER_BYTE * SECOND) / board.link.baud;
    this.controller = {
      board: { id: board.id, number: board.number, outputs: board.outputs.length },
      hardware: this.hardware(),
      state: world.state ?? freshState(freshRetained()),
      schedule: undefined,
      occurrences: [],
    };
    if (world.state) reloadTable(this.controller);
  }

  private hardware(): Hardware {
    const { world } = this;
    const { around, clock, eeprom, log } = world;
    const show = (levels: Uint8Array): void => this.show(levels);
    return {
      tick: () => clockSecondAt(clock, world.now),
      subSecond: () => Math.floor(((clockMicrosAt(clock, world.now) % SECOND) * 256) / SECOND),
      get tickSilent() {
        return around.troubles['tick silent'] === true;
      },
      get busHeld() {
        return around.troubles['bus held'] === true;
      },
      readClock: () => (clockSilent(around) ? undefined : clockRegisters(clock, world.now)),
      writeClock: (at, bytes) => {
        if (clockSilent(around)) return false;
        writeClockRegisters(clock, at, bytes, world.now);
        return true;
      },
      eeprom: eeprom.intended,
      writeEeprom: (at, value) => writeByte(eeprom, at, value, world.now),
      readLog: () => (logSilent(around) ? undefined : log.intended),
      writeLogPage: (page, bytes) => writePage(log, page, bytes, world.now),
      probe: () => readProbe(around),
      supply: () => readSupply(around),
      show,
    };
  }

  private show(levels: Uint8Array): void {
    if (drive(this.world.relays, levels)) this.onLevels?.(this.utc, this.levels);
  }

  get micros(): Micros {
    return this.world.now;
  }
  get utc(): UtcSeconds {
    return utcSeconds(this.world.beganUtc + Math.floor(this.world.now / SECOND));
  }
  get powered(): boolean {
    return this.world.powered;
  }
  get levels(): Uint8Array {
    return Uint8Array.from(this.world.relays.levels);
  }
  get operations(): Uint32Array {
    return Uint32Array.from(this.world.relays.operations);
  }
  get memories(): { readonly eeprom: Uint8Array; readonly log: Uint8Array } {
    return { eeprom: this.world.eeprom.physical, log: this.world.log.physical };
  }
  get signals(): { readonly indicator: boolean; readonly buzzer: boolean } {
    if (!this.running) return { indicator: false, buzzer: false };
    const { hardware, state } = this.controller;
    return signalsAt(this.controller, hardware.tick() + state.skew, hardware.subSecond() >> 6);
  }

  private get running(): boolean {
    return this.world.powered && this.world.startAt === undefined;
  }
  private get writesWait(): boolean {
    return this.world.around.troubles['supply low'] === true;
  }

  run(until: Micros): void {
    for (let at = this.nextEvent(); at <= until; at = this.nextEvent()) {
      this.world.now = Math.max(this.world.now, at);
      this.handle();
    }
    this.world.now = Math.max(this.world.now, until);
    this.handle();
  }

  /** When something must happen next; may lie in the past. */
  private nextEvent(): Micros {
    const { world, controller } = this;
    const memories = Math.min(
      this.writesWait ? Number.POSITIVE_INFINITY : writeEnd(world.eeprom),
      writeEnd(world.log),
    );
    const arrival = world.incoming[0]?.at ?? Number.POSITIVE_INFINITY;
    if (!this.running) return Math.min(memories, arrival, world.startAt ?? Number.POSITIVE_INFINITY);
    const { state } = controller;
    const busy = nextBusySecond(controller) - state.skew;
    return Math.min(
      memories,
      arrival,
      Number.isFinite(busy) ? microsOfSecond(world.clock, busy) : busy,
      state.arriving.length > 0 ? world.heardAt + SILENCE_MICROS : Number.POSITIVE_INFINITY,
      this.isWorkDone() ? world.now : Number.POSITIVE_INFINITY,
      longPressAt(world.button),
    );
  }

  /** Does all that is due at `now`. */
  private handle(): void {
    const { world, controller } = this;
    if (!this.writesWait) settle(world.eeprom, world.now);
    settle(world.log, world.now);
    if (world.startAt !== undefined && world.startAt <= world.now) this.start();
    if (this.running) passTime(controller, controller.hardware.tick() + controller.state.skew);
    while (world.incoming[0] && world.incoming[0].at <= world.now)
      this.hear(sure(world.incoming.shift()).byte);
    if (!this.running) return;
    const { arriving } = controller.state;
    if (arriving.length > 0 && world.heardAt + SILENCE_MICROS <= world.now) takeSilence(arriving);
    if (this.isWorkDone()) this.answer(finishRequest(controller));
    if (longPressAt(world.button) <= world.now) this.longPress();
  }

  private isWorkDone(): boolean {
    return this.controller.state.working !== undefined && this.world.eeprom.queue.length === 0;
  }

  private hear(byte: number): void {
    const { state } = this.controller;
    if (!this.running || state.working) return;
    this.world.heardAt = this.world.now;
    this.perform(takeByte(state.arriving, byte));
  }

  private perform(bytes: readonly number[] | undefined): void {
    const answer = bytes && takeFrame(this.controller, bytes);
    if (answer) this.answer(answer);
  }

  private answer(bytes: Uint8Array): void {
    const { world } = this;
    const begin = Math.max(world.now + TURNAROUND_MICROS, world.outgoing.at(-1)?.at ?? 0);
    bytes.forEach((byte, index) => {
      world.outgoing.push({ at: begin + Math.ceil((index + 1) * this.byteMicros), byte });
    });
  }

  receive(bytes: Uint8Array): void {
    const { world } = this;
    const begin = Math.max(world.now, world.incoming.at(-1)?.at ?? 0);
    const room = Math.max(0, LINE_BUFFER_BYTES - world.incoming.length);
    bytes.subarray(0, room).forEach((byte, index) => {
      world.incoming.push({ at: begin + Math.ceil((index + 1) * this.byteMicros), byte });
    });
  }

  takeSent(): Uint8Array {
    const { outgoing, now } = this.world;
    const through = outgoing.filter(({ at }) => at <= now).length;
    return Uint8Array.from(outgoing.splice(0, through), ({ byte }) => byte);
  }

  openPort(): void {
    this.reset('external');
  }

  reset(cause: 'external' | 'watchdog'): void {
    const { world } = this;
    if (!world.powered) return;
    forgetQueue(world.eeprom);
    forgetQueue(world.log);
    // A start after power-on that has not happened yet stays one.
    if (this.running) world.startCause = BOOT_CAUSE[cause];
    world.startAt = world.now + (cause === 'external' ? BOOTLOADER_MICROS : POWER_ON_MICROS);
    world.outgoing.length = 0;
    this.show(DARKNESS);
  }

  private start(): void {
    const { world, controller } = this;
    const retained: Retained | undefined = world.state?.retained;
    world.startAt = undefined;
    startController(controller, world.startCause, retained);
    world.state = controller.state;
  }

  setPower(on: boolean): void {
    const { world } = this;
    if (on === world.powered) return;
    world.powered = on;
    if (world.clock.batteryDead) loseTime(world.clock, world.now);
    if (on) {
      forgetQueue(world.eeprom);
      forgetQueue(world.log);
      world.startAt = world.now + POWER_ON_MICROS;
      world.startCause = BOOT_CAUSE.powerOn;
      return;
    }
    tear(world.eeprom, world.chance);
    tear(world.log, world.chance);
    world.startAt = undefined;
    world.state = undefined;
    world.outgoing.length = 0;
    this.show(DARKNESS);
  }

  setButton(down: boolean): void {
    const short = moveButton(this.world.button, down, this.world.now);
    if (!short || !this.running) return;
    answerPress(this.controller);
    react(this.controller);
  }

  private longPress(): void {
    const { controller, world } = this;
    world.button.spent = true;
    if (isWorkLight(controller.state)) endWorkLight(controller);
    else beginWorkLight(controller);
    react(controller);
  }

  setProbe(sixteenths: number | undefined): void {
    this.world.around.probe = sixteenths;
  }

  setTrouble(trouble: Trouble, on: boolean): void {
    const { world } = this;
    world.around.troubles[trouble] = on;
    if (trouble === 'supply low' && !on) world.eeprom.beganAt = world.now;
    if (trouble !== 'clock stopped') return;
    world.clock.batteryDead = on;
    if (on && !world.powered) loseTime(world.clock, world.now);
  }

  save(): DeviceImage {
    return worldImage(this.world);
  }
}
