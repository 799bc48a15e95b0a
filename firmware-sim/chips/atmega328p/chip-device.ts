/**
 * The controller as machine code: the real firmware image on the emulated
 * chip, in the same small world as the simulated controller.
 *
 * Always holds: time moves only in `run`; opening the port restarts the chip
 * through a bootloader's second; a reset lets all pins go.
 */

import { itemAt } from '../../../shared/assert.ts';
import type { Board } from '../../../shared/board.ts';
import { dimChannel, type PortBit, portBit } from '../../../shared/chips/atmega328p.ts';
import { toHex } from '../../../shared/hex.ts';
import type { DeviceImage, Micros, Trouble } from '../../device.ts';
import type { SimulatedDevice } from '../../simulated-device.ts';
import { clockMicrosAt, clockSecondAt, microsOfSecond } from '../../world/battery-clock.ts';
import {
  Bench,
  BOOTLOADER_MICROS,
  benchWorld,
  POWER_ON_MICROS,
  SECOND,
  type SimulatedDeviceOptions,
} from '../../world/bench.ts';
import { settle } from '../../world/memory.ts';
import { readProbe, readSupply } from '../../world/surroundings.ts';
import type { World } from '../../world/world.ts';
import { type Program, programWith } from './hex.ts';
import { CYCLES_PER_MICRO, Machine, RESET_FLAG } from './machine.ts';
import { clockPart, memoryPart } from './parts.ts';
import { WireProbe } from './probe.ts';
import { REG } from './registers.ts';

/** Lines of the two-wire bus on port C. */
const BUS_DATA = 4;
const BUS_CLOCK = 5;
/** Beyond this share a byte is sampled wrongly (eight data bits of ten). */
const SPEED_TOLERANCE = 0.05;
const GARBLED = 0x96;
const KIND = 'leanward-chip';

export interface ChipDeviceOptions extends SimulatedDeviceOptions {
  /** The firmware image, Intel HEX. */
  readonly hex: string;
  /** A bootloader's image, Intel HEX, that each reset goes through; without one, a plain second of waiting stands for it. */
  readonly loader?: string;
}

/** An emulated chip that tests can look into. */
export interface ChipDevice extends SimulatedDevice {
  readonly machine: Machine;
  /** Restarts at once, as silicon does, without waiting: flags of MCUSR. */
  resetNow(flags: number): void;
  /** Speed at which the host sends and listens; what the chip sends or hears at another is garbled. */
  hostBaud: number;
}

/** The chip with the power on. Throws a RangeError when image or saved world do not fit. */
export function makeChipDevice(options: ChipDeviceOptions): ChipDevice {
  const { board, image } = options;
  const saved = image && { ...image, kind: image.kind.replace(KIND, 'leanward-simulated') };
  const device = new Chip(board, benchWorld(options, saved), programWith(options.hex, options.loader));
  if (image) device.resume(image);
  else device.setPower(true);
  return device;
}

class Chip extends Bench implements ChipDevice {
  readonly machine: Machine;
  private readonly probeWire: WireProbe;
  private readonly hasLoader: boolean;
  /** `cycles` of the machine at virtual micros 0. */
  private readonly cycleOffset: number;
  private halted = true;
  private startFlags = 0;
  private startR2 = 0;
  /** Next edge of the one-second line, and whether it falls. */
  private edgeAt = 0;
  private edgeFalls = true;

  constructor(board: Board, world: World, program: Program) {
    super(board, world);
    this.hasLoader = program.begin !== 0;
    const now = (): number => this.micros;
    this.machine = new Machine({
      program,
      world,
      now,
      parts: [clockPart(world, now, () => this.aimEdge()), memoryPart(world, now)],
      supply: () => readSupply(world.around, board),
      pinsChanged: () => this.pinsChanged(),
      sent: (byte) => this.heard(byte),
    });
    this.cycleOffset = this.machine.cpu.cycles - world.now * CYCLES_PER_MICRO;
    const wire = portBit(board.pins.probe);
    this.probeWire = new WireProbe(
      this.machine.cpu,
      () => readProbe(world.around),
      (high) => this.machine.ports[wire.port].setPin(wire.bit, high),
    );
    this.machine.ports[wire.port].setPin(wire.bit, true);
    this.setLine(board.pins.tick, true);
    this.setLine(board.pins.button, true);
    this.machine.ports.C.setPin(BUS_DATA, world.around.troubles['bus held'] !== true);
    this.machine.ports.C.setPin(BUS_CLOCK, true);
    this.aimEdge();
  }

  private setLine(name: string, high: boolean): void {
    const { port, bit } = portBit(name);
    this.machine.ports[port].setPin(bit, high);
  }

  private isDriven({ port, bit }: PortBit): boolean {
    const ddr = { B: REG.DDRB, C: REG.DDRC, D: REG.DDRD }[port];
    return (itemAt(this.machine.cpu.data, ddr) & (1 << bit)) !== 0;
  }

  private isHigh({ port, bit }: PortBit): boolean {
    const latch = { B: REG.PORTB, C: REG.PORTC, D: REG.PORTD }[port];
    return (itemAt(this.machine.cpu.data, latch) & (1 << bit)) !== 0;
  }

  private levelOf(output: Board['outputs'][number]): number {
    const pin = portBit(output.pin);
    if (!this.isDriven(pin)) return 0; // let go: the board's own resistor keeps it off
    const channel = output.kind === 'dim' ? dimChannel(output.pin) : undefined;
    const duty = channel && itemAt(this.machine.timers, channel.timer).duty(channel.channel);
    if (duty !== undefined) return duty;
    return this.isHigh(pin) === (output.active === 'high') ? 0xff : 0;
  }

  private pinsChanged(): void {
    const levels = new Uint8Array(8);
    if (!this.machine || !this.probeWire) return;
    this.board.outputs.forEach((output, index) => {
      levels[index] = this.levelOf(output);
    });
    this.probeWire.pulled(this.isDriven(portBit(this.board.pins.probe)));
    this.show(levels);
  }

  override get micros(): Micros {
    return (this.machine.cpu.cycles - this.cycleOffset) / CYCLES_PER_MICRO;
  }
  get signals(): { readonly indicator: boolean; readonly buzzer: boolean } {
    const lit = (name: string): boolean => this.isDriven(portBit(name)) && this.isHigh(portBit(name));
    return { indicator: lit(this.board.pins.indicator), buzzer: lit(this.board.pins.buzzer) };
  }

  run(until: Micros): void {
    for (let at = this.nextEvent(); at <= until; at = this.nextEvent()) {
      this.advance(at);
      this.handle();
    }
    this.advance(until);
    if (this.nextEvent() <= until) this.run(until);
  }

  private advance(to: Micros): void {
    const target = Math.ceil(to * CYCLES_PER_MICRO + this.cycleOffset);
    const { cpu } = this.machine;
    if (!this.halted) this.machine.run(target);
    if (this.machine.watchdogFired) this.reset('watchdog');
    if (this.halted) cpu.cycles = Math.max(cpu.cycles, this.haltedUntil(target));
    this.world.now = this.micros;
  }

  /** A restart that fell within the stretch must not be slept over. */
  private haltedUntil(target: number): number {
    return Math.min(target, Math.ceil(this.nextStart * CYCLES_PER_MICRO + this.cycleOffset));
  }

  private nextEvent(): Micros {
    return Math.min(this.edgeAt, this.nextArrival, this.nextStart);
  }

  private handle(): void {
    const { world } = this;
    const { micros } = this;
    settle(world.log, micros);
    if (this.halted) settle(world.eeprom, micros);
    if (this.nextStart <= micros) this.start();
    if (this.edgeAt <= micros) this.edge();
    for (const byte of this.arrivals(micros)) {
      if (!this.halted) this.machine.hear(this.asHeard(byte));
    }
  }

  /** The one-second line falls as a second begins, and rises half a second later. */
  private aimEdge(): void {
    const { clock } = this.world;
    this.edgeAt = microsOfSecond(clock, clockSecondAt(clock, this.micros) + 1);
    this.edgeFalls = true;
    this.setLine(this.board.pins.tick, true);
  }

  private edge(): void {
    const { world } = this;
    const second = Math.round(clockMicrosAt(world.clock, this.edgeAt) / SECOND);
    if (this.edgeFalls) {
      if (world.around.troubles['tick silent'] !== true) this.setLine(this.board.pins.tick, false);
      this.edgeAt += SECOND / 2;
    } else {
      this.setLine(this.board.pins.tick, true);
      this.edgeAt = microsOfSecond(
        world.clock,
        second + (clockMicrosAt(world.clock, this.edgeAt) / SECOND > second ? 1 : 0),
      );
    }
    this.edgeFalls = !this.edgeFalls;
  }

  private heard(byte: number): void {
    this.world.outgoing.push({ at: Math.ceil(this.micros + this.byteMicros), byte: this.asHeard(byte) });
  }

  /** A byte as the other side takes it. */
  private asHeard(byte: number): number {
    const off = Math.abs(this.machine.usart.baudRate / this.hostBaud - 1);
    return off > SPEED_TOLERANCE ? ((byte * 3) ^ GARBLED) & 0xff : byte;
  }

  reset(cause: 'external' | 'watchdog'): void {
    const { world } = this;
    if (!world.powered) return;
    const external = cause === 'external';
    if (this.hasLoader) {
      if (!this.halted) this.startFlags = RESET_FLAG[cause];
      this.letGo();
      world.startAt = this.micros + POWER_ON_MICROS;
      return;
    }
    // A start after power-on that has not happened yet stays one.
    if (!this.halted) this.startFlags = external ? 0 : RESET_FLAG.watchdog;
    if (!this.halted) this.startR2 = external ? RESET_FLAG.external | RESET_FLAG.watchdog : 0;
    this.letGo();
    world.startAt = this.micros + (external ? BOOTLOADER_MICROS : POWER_ON_MICROS);
  }

  resetNow(flags: number): void {
    this.letGo();
    this.startFlags = flags;
    this.startR2 = 0;
    this.start();
  }

  /** All pins are inputs from this moment on; the program stands still. */
  private letGo(): void {
    this.halted = true;
    this.machine.reset(0, 0);
    this.probeWire.release();
    this.world.outgoing.length = 0;
  }

  private start(): void {
    this.world.startAt = undefined;
    this.halted = false;
    this.machine.reset(this.startFlags, this.startR2);
    this.probeWire.release();
  }

  override setPower(on: boolean): void {
    const { world } = this;
    if (world.powered && !on) {
      settle(world.eeprom, this.micros);
      settle(world.log, this.micros);
    }
    super.setPower(on);
  }

  protected powerCame(): void {
    this.startFlags = RESET_FLAG.powerOn;
    this.startR2 = 0;
    // What memory holds after power-on is chance.
    this.machine.cpu.data.fill(0xa5, 0x100);
  }

  protected powerWent(): void {
    this.letGo();
  }

  setButton(down: boolean): void {
    this.setLine(this.board.pins.button, !down);
  }

  override setTrouble(trouble: Trouble, on: boolean): void {
    super.setTrouble(trouble, on);
    if (trouble === 'bus held') this.machine.ports.C.setPin(BUS_DATA, !on);
  }

  /** A saved chip keeps its memory and starts by an external reset. */
  override save(): DeviceImage {
    this.world.now = this.micros;
    const { version, data } = super.save();
    const memory = toHex(this.machine.cpu.data.subarray(0x100));
    return { kind: KIND, version, data: { ...data, memory } };
  }

  resume(image: DeviceImage): void {
    const memory = String(image.data.memory).match(/../g) ?? [];
    memory.forEach((pair, at) => {
      this.machine.cpu.data[0x100 + at] = Number.parseInt(pair, 16);
    });
    this.halted = !this.world.powered;
    if (!this.world.powered) return;
    this.world.startAt = this.micros + POWER_ON_MICROS;
    this.startFlags = RESET_FLAG.external;
    this.letGo();
  }
}
