/**
 * A controller whose program is the C core, built for the host, in the same
 * small world as the simulated controller.
 *
 * Always holds: time moves only in `run`; the core's memory survives a restart
 * that keeps power, as the chip's does.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import type { Board } from '../../shared/board.ts';
import { BOOT_CAUSE, PAGE_BYTES } from '../../shared/log.ts';
import { type UtcSeconds, utcSeconds } from '../../shared/units.ts';
import type { DeviceImage, Micros, Trouble } from '../device.ts';
import type { SimulatedDevice, SimulatedDeviceOptions } from '../simulated-device.ts';
import {
  clockMicrosAt,
  clockRegisters,
  clockSecondAt,
  loseTime,
  microsOfSecond,
  writeClockRegisters,
} from '../world/battery-clock.ts';
import { longPressAt, moveButton } from '../world/button.ts';
import { holdTable } from '../world/eeprom.ts';
import { writePage } from '../world/log-memory.ts';
import { enqueue, forgetQueue, settle, tear, writeEnd } from '../world/memory.ts';
import { drive } from '../world/relays.ts';
import { clockSilent, logSilent, readProbe, readSupply } from '../world/surroundings.ts';
import { LINE_BUFFER_BYTES, newWorld, type World, worldImage } from '../world/world.ts';
import { type Core, type CoreHal, loadCore, PRESS, TICK } from './core.ts';

const SECOND = 1_000_000;
/** As the simulated controller has them: from power, or from a reset through the bootloader, to the program. */
const POWER_ON_MICROS = 65_000;
const BOOTLOADER_MICROS = 1_000_000 + POWER_ON_MICROS;
const SILENCE_MICROS = 5_000;
const TURNAROUND_MICROS = 500;
const BITS_PER_BYTE = 10;
const DARKNESS = new Uint8Array(8);

/** A controller with the core in `wasm` as its program, the power on. */
export function makeCoreDevice(wasm: Uint8Array, options: SimulatedDeviceOptions): SimulatedDevice {
  const { board, utc, seed = 1, driftPpm = 0, clockRight = false, probe } = options;
  const world = newWorld({ boardId: board.id, utc, seed, driftPpm, clockRight, probe });
  if (options.table) holdTable(world.eeprom, options.table);
  const device = new CoreDevice(wasm, board, world);
  device.setPower(true);
  return device;
}

class CoreDevice implements SimulatedDevice {
  onLevels: ((utc: UtcSeconds, levels: Uint8Array) => void) | undefined;
  private readonly core: Core;
  private readonly byteMicros: number;
  private readonly shown = new Uint8Array(8);
  private running = false;
  /** The clock's second that the last tick, or the last silent second, stood for. */
  private ticked = 0;
  private missing = 0;
  private readonly ticks: number[] = [];
  private press: number = PRESS.none;
  private light = 0;
  private sound = 0;

  constructor(
    wasm: Uint8Array,
    private readonly board: Board,
    private readonly world: World,
  ) {
    this.byteMicros = (BITS_PER_BYTE * SECOND) / board.link.baud;
    this.core = loadCore(wasm, this.hal());
    this.core.forget();
  }

  private hal(): CoreHal {
    const { world, board } = this;
    const { around, clock, eeprom, log } = world;
    return {
      outputs: board.outputs.length,
      boardNumber: board.number,
      boardId: board.id,
      eepromRead: (at) => itemAt(eeprom.intended, at),
      eepromWrite: (at, value) => enqueue(eeprom, at, [value], world.now),
      eepromBusy: () => eeprom.queue.length > 0,
      idle: () => forgetQueue(eeprom),
      clockRead: (register, count) =>
        clockSilent(around)
          ? undefined
          : clockRegisters(clock, world.now).subarray(register, register + count),
      clockWrite: (register, bytes) => this.writeClock(register, bytes),
      logRead: (at, count) => (logSilent(around) ? undefined : log.intended.subarray(at, at + count)),
      logWrite: (at, bytes) => {
        if (logSilent(around)) return false;
        writePage(log, at / PAGE_BYTES, bytes, world.now);
        return true;
      },
      busHeld: () => around.troubles['bus held'] === true,
      tickTake: () => this.ticks.shift() ?? TICK.none,
      subSecond: () => Math.floor(((clockMicrosAt(clock, world.now) % SECOND) * 256) / SECOND),
      pressTake: () => {
        const taken = this.press;
        this.press = PRESS.none;
        return taken;
      },
      output: (output, level) => {
        this.shown[output] = level;
      },
      signals: (light, sound) => {
        this.light = light;
        this.sound = sound;
      },
      probe: () => readProbe(around),
      supply: () => readSupply(around),
      bootCause: () => world.startCause,
      send: (byte) => this.send(byte),
    };
  }

  private writeClock(register: number, bytes: Uint8Array): boolean {
    const { clock, around, now } = this.world;
    if (clockSilent(around)) return false;
    if (register === 0x0e) return true; // the control register is not modelled
    writeClockRegisters(clock, register, bytes, now);
    // Its second begins afresh: the next tick comes a second from now.
    if (register === 0) this.ticked = clockSecondAt(clock, now);
    return true;
  }

  private send(byte: number): void {
    const { outgoing, now } = this.world;
    const begin = Math.max(now + TURNAROUND_MICROS, outgoing.at(-1)?.at ?? 0);
    outgoing.push({ at: begin + Math.ceil(this.byteMicros), byte });
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
    const quarter = Math.floor(((clockMicrosAt(this.world.clock, this.world.now) % SECOND) * 4) / SECOND);
    return { indicator: ((this.light >> quarter) & 1) === 1, buzzer: ((this.sound >> quarter) & 1) === 1 };
  }

  run(until: Micros): void {
    for (let at = this.nextEvent(); at <= until; at = this.nextEvent()) {
      this.world.now = Math.max(this.world.now, at);
      this.handle();
    }
    this.world.now = Math.max(this.world.now, until);
  }

  private nextEvent(): Micros {
    const { world } = this;
    const line = Math.min(world.incoming[0]?.at ?? Number.POSITIVE_INFINITY, writeEnd(world.log));
    if (!this.running) return Math.min(line, world.startAt ?? Number.POSITIVE_INFINITY);
    return Math.min(
      line,
      microsOfSecond(world.clock, this.ticked + 1),
      writeEnd(world.eeprom),
      longPressAt(world.button),
    );
  }

  private handle(): void {
    const { world } = this;
    settle(world.eeprom, world.now);
    settle(world.log, world.now);
    if (world.startAt !== undefined && world.startAt <= world.now) this.start();
    if (this.running) this.takeTicks();
    while (world.incoming[0] && world.incoming[0].at <= world.now)
      this.hear(sure(world.incoming.shift()).byte);
    if (!this.running) return;
    if (longPressAt(world.button) <= world.now) {
      world.button.spent = true;
      this.press = PRESS.long;
    }
    this.poll();
  }

  private takeTicks(): void {
    const { world } = this;
    const second = clockSecondAt(world.clock, world.now);
    for (; this.ticked < second; this.ticked++) {
      if (world.around.troubles['tick silent'] !== true) {
        this.missing = 0;
        this.ticks.push(TICK.edge);
      } else if (++this.missing >= 2) {
        this.ticks.push(TICK.silent);
      }
    }
  }

  private hear(byte: number): void {
    if (!this.running) return;
    const { world } = this;
    this.core.receive(byte, world.now - world.heardAt >= SILENCE_MICROS);
    world.heardAt = world.now;
  }

  private poll(): void {
    do this.core.poll();
    while (this.ticks.length > 0 && this.world.eeprom.queue.length === 0);
    if (this.core.busy && this.world.eeprom.queue.length === 0) this.core.poll();
    this.show(this.shown);
  }

  private show(levels: Uint8Array): void {
    if (drive(this.world.relays, levels)) this.onLevels?.(this.utc, this.levels);
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
    if (this.running) world.startCause = BOOT_CAUSE[cause];
    this.running = false;
    world.startAt = world.now + (cause === 'external' ? BOOTLOADER_MICROS : POWER_ON_MICROS);
    world.outgoing.length = 0;
    this.show(DARKNESS);
  }

  private start(): void {
    const { world } = this;
    world.startAt = undefined;
    this.running = true;
    this.ticks.length = 0;
    this.missing = 0;
    this.press = PRESS.none;
    this.shown.fill(0);
    this.ticked = clockSecondAt(world.clock, world.now);
    this.core.start();
    this.poll();
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
    world.outgoing.length = 0;
    this.running = false;
    this.core.forget();
    this.show(DARKNESS);
  }

  setButton(down: boolean): void {
    const short = moveButton(this.world.button, down, this.world.now);
    if (!short || !this.running) return;
    this.press = PRESS.short;
    this.poll();
  }

  setProbe(sixteenths: number | undefined): void {
    this.world.around.probe = sixteenths;
  }

  setTrouble(trouble: Trouble, on: boolean): void {
    const { world } = this;
    world.around.troubles[trouble] = on;
    if (trouble !== 'clock stopped') return;
    world.clock.batteryDead = on;
    if (on && !world.powered) loseTime(world.clock, world.now);
  }

  save(): DeviceImage {
    const { kind, version, data } = worldImage(this.world);
    const memory = Array.from(this.core.memory(), (byte) => byte.toString(16).padStart(2, '0')).join('');
    return { kind: `${kind}-core`, version, data: { ...data, memory } };
  }
}
