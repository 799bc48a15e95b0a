/**
 * The bench that every controller here stands on: the line, the power, the
 * button, the probe, the outputs and the parts beside the chip. A device adds
 * the program that runs on it.
 *
 * Always holds: what the world does to a device it does to all alike; time
 * moves only in a device's `run`.
 */

import { sure } from '../../shared/assert.ts';
import type { Board } from '../../shared/board.ts';
import { BOOT_CAUSE } from '../../shared/log.ts';
import { FRAME_SILENCE_MICROS } from '../../shared/registers.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import { CLOCK } from '../clock-registers.ts';
import type { Device, DeviceImage, Micros, Trouble } from '../device.ts';
import { clockMicrosAt, clockRegisters, loseTime, writeClockRegisters } from './battery-clock.ts';
import { moveButton } from './button.ts';
import { holdTable } from './eeprom.ts';
import { forgetQueue, tear } from './memory.ts';
import { drive } from './relays.ts';
import { clockSilent, logSilent } from './surroundings.ts';
import { LINE_BUFFER_BYTES, newWorld, type World, worldFrom, worldImage } from './world.ts';

export const SECOND = 1_000_000;
/** Microseconds from power to program: the fuses' start-up delay of 65 ms (from memory). */
export const POWER_ON_MICROS = 65_000;
/** After an external reset the bootloader listens for a second first (Optiboot's watchdog time-out, from memory). */
export const BOOTLOADER_MICROS = 1_000_000 + POWER_ON_MICROS;
/** Start, eight data and stop bits. */
export const BITS_PER_BYTE = 10;
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

/** The world saved in `image`, else a new one as the options tell. Throws a RangeError when the image does not fit. */
export function benchWorld(options: SimulatedDeviceOptions, image: DeviceImage | undefined): World {
  const { board, utc, seed = 1, driftPpm = 0, clockRight = false, probe, table } = options;
  if (image) return worldFrom(image, board.id);
  const world = newWorld({ boardId: board.id, utc, seed, driftPpm, clockRight, probe });
  if (table) holdTable(world.eeprom, table);
  return world;
}

/** What all devices share. */
export abstract class Bench implements Device {
  onLevels: ((utc: UtcSeconds, levels: Uint8Array) => void) | undefined;
  /** Speed at which the host sends and listens. */
  hostBaud: number;

  constructor(
    protected readonly board: Board,
    protected readonly world: World,
  ) {
    this.hostBaud = board.link.baud;
  }

  abstract readonly signals: { readonly indicator: boolean; readonly buzzer: boolean };
  abstract run(until: Micros): void;
  abstract reset(cause: 'external' | 'watchdog'): void;
  abstract setButton(down: boolean): void;
  /** The power is back, and the program will start at `startAt`. */
  protected abstract powerCame(): void;
  /** The power has gone: the program stands still and forgets. */
  protected abstract powerWent(): void;

  get micros(): Micros {
    return this.world.now;
  }
  get utc(): UtcSeconds {
    return utcSeconds(this.world.beganUtc + Math.floor(this.micros / SECOND));
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

  protected get byteMicros(): number {
    return (BITS_PER_BYTE * SECOND) / this.hostBaud;
  }
  /** When the next byte from the host is through; Infinity when none is on the line. */
  protected get nextArrival(): Micros {
    return this.world.incoming[0]?.at ?? Number.POSITIVE_INFINITY;
  }
  /** When the program starts; Infinity while it runs or is without power. */
  protected get nextStart(): Micros {
    return this.world.startAt ?? Number.POSITIVE_INFINITY;
  }

  receive(bytes: Uint8Array): void {
    const { incoming } = this.world;
    const begin = Math.max(this.micros, incoming.at(-1)?.at ?? 0);
    const room = Math.max(0, LINE_BUFFER_BYTES - incoming.length);
    bytes.subarray(0, room).forEach((byte, index) => {
      incoming.push({ at: begin + Math.ceil((index + 1) * this.byteMicros), byte });
    });
  }

  /** The bytes that are through by `now`, one after another. */
  protected *arrivals(now: Micros): Generator<number> {
    const { incoming } = this.world;
    while (incoming[0] && incoming[0].at <= now) yield sure(incoming.shift()).byte;
  }

  takeSent(): Uint8Array {
    const { micros } = this;
    const { outgoing } = this.world;
    const through = outgoing.filter(({ at }) => at <= micros).length;
    return Uint8Array.from(outgoing.splice(0, through), ({ byte }) => byte);
  }

  openPort(): void {
    this.reset('external');
  }

  /** Drives the outputs, and tells when a level changed. */
  protected show(levels: Uint8Array): void {
    if (drive(this.world.relays, levels)) this.onLevels?.(this.utc, this.levels);
  }

  setPower(on: boolean): void {
    const { world } = this;
    if (on === world.powered) return;
    world.powered = on;
    if (world.clock.batteryDead) loseTime(world.clock, this.micros);
    if (on) {
      world.startAt = this.micros + POWER_ON_MICROS;
      this.powerCame();
      return;
    }
    tear(world.eeprom, world.chance);
    tear(world.log, world.chance);
    world.startAt = undefined;
    this.powerWent();
    world.outgoing.length = 0;
    this.show(DARKNESS);
  }

  setProbe(sixteenths: number | undefined): void {
    this.world.around.probe = sixteenths;
  }

  setTrouble(trouble: Trouble, on: boolean): void {
    const { world } = this;
    world.around.troubles[trouble] = on;
    if (trouble !== 'clock stopped') return;
    world.clock.batteryDead = on;
    if (on && !world.powered) loseTime(world.clock, this.micros);
  }

  save(): DeviceImage {
    return worldImage(this.world);
  }
}

/** A bench whose program has no chip under it: restarts, presses and parts reach the program itself. */
export abstract class ProgramBench extends Bench {
  /** The button was pressed briefly while the program ran. */
  protected abstract shortPress(): void;

  protected get running(): boolean {
    return this.world.powered && this.world.startAt === undefined;
  }

  /** Since the battery clock's last second, in parts of which `parts` make a second. */
  protected sinceTick(parts: number): number {
    const { clock, now } = this.world;
    return Math.floor(((clockMicrosAt(clock, now) % SECOND) * parts) / SECOND);
  }

  /** Registers 00–12 of the battery clock; undefined when it does not answer. */
  protected readClock(): Uint8Array | undefined {
    const { around, clock, now } = this.world;
    return clockSilent(around) ? undefined : clockRegisters(clock, now);
  }

  /** False when the clock does not answer. The control register is not modelled. */
  protected writeClock(at: number, bytes: ArrayLike<number>): boolean {
    const { around, clock, now } = this.world;
    if (clockSilent(around)) return false;
    if (at !== CLOCK.control) writeClockRegisters(clock, at, bytes, now);
    return true;
  }

  /** The log memory; undefined when it does not answer. */
  protected readLog(): Uint8Array | undefined {
    return logSilent(this.world.around) ? undefined : this.world.log.intended;
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

  protected powerCame(): void {
    const { world } = this;
    forgetQueue(world.eeprom);
    forgetQueue(world.log);
    world.startCause = BOOT_CAUSE.powerOn;
  }

  setButton(down: boolean): void {
    const short = moveButton(this.world.button, down, this.world.now);
    if (short && this.running) this.shortPress();
  }

  /** Puts bytes on the line to the host. */
  protected send(bytes: ArrayLike<number>): void {
    const { outgoing, now } = this.world;
    const begin = Math.max(now + FRAME_SILENCE_MICROS, outgoing.at(-1)?.at ?? 0);
    for (let index = 0; index < bytes.length; index++) {
      outgoing.push({ at: begin + Math.ceil((index + 1) * this.byteMicros), byte: sure(bytes[index]) });
    }
  }
}
