/**
 * The emulated chip: CPU, peripherals, faithful reset, and sleep that skips
 * idle time.
 *
 * Always holds: a reset clears the I/O registers and keeps the memory; cycles
 * slept are not active cycles; nothing here knows what the program does.
 */

import {
  AVRIOPort,
  AVRUSART,
  avrInstruction,
  CPU,
  portBConfig,
  portCConfig,
  portDConfig,
  usart0Config,
} from 'avr8js';
import { itemAt, sure } from '../../../shared/assert.ts';
import type { World } from '../../world/world.ts';
import { Eeprom } from './eeprom.ts';
import { Flash } from './flash.ts';
import type { Program } from './hex.ts';
import { INTERRUPT_AT, REG } from './registers.ts';
import { Timer } from './timer.ts';
import { Twi, type TwiPart } from './twi.ts';

export const CLOCK_HZ = 16_000_000;
export const CYCLES_PER_MICRO = 16;
const SRAM_BYTES = 2_048;
const IO_FROM = 0x20;
const IO_END = 0x100;
const SLEEP = 0x9588;
const SPM = 0x95e8;
const SEI = 0x9478;
const RETI = 0x9518;
/** `out SREG, r`: which register does not matter. */
const OUT_SREG = 0xbe0f;
const OUT_SREG_MASK = 0xfe0f;
const SLEEP_ENABLED = 1;
/** Cycles from an interrupt to the instruction after sleep, beside the interrupt's own (data sheet). */
const WAKE_CYCLES = 4;

/** Bits of MCUSR. */
export const RESET_FLAG = { powerOn: 1, external: 2, brownOut: 4, watchdog: 8 } as const;

const RXC = 0x80;
/** RXC and UDRE of UCSR0A. */
const USART_READ_ONLY = 0xa0;
const WDE = 0x08;
const WDIE = 0x40;
const WDCE = 0x10;
const WATCHDOG_HZ = 128_000;

export interface MachineOptions {
  readonly program: Program;
  readonly world: World;
  readonly now: () => number;
  readonly parts: readonly TwiPart[];
  /** Millivolts of the supply now. */
  readonly supply: () => number;
  /** Something that shows on pins may have changed. */
  readonly pinsChanged: () => void;
  readonly sent: (byte: number) => void;
}

/**
 * After these the next instruction comes before any interrupt (data sheet, "Reset and interrupt
 * handling", of sei and reti; of a write to SREG, GCC's prologues count on it).
 */
function letsInterruptsIn(word: number): boolean {
  return word === SEI || word === RETI || (word & OUT_SREG_MASK) === OUT_SREG;
}

export class Machine {
  readonly cpu: CPU;
  readonly ports: { readonly B: AVRIOPort; readonly C: AVRIOPort; readonly D: AVRIOPort };
  readonly timers: readonly Timer[];
  readonly usart: AVRUSART;
  readonly eeprom: Eeprom;
  private readonly flash: Flash;
  readonly twi: Twi;
  sleeping = false;
  /** The watchdog has asked for a reset; the machine stands still until it comes. */
  watchdogFired = false;
  /** Cycles not slept since the machine was made. */
  activeCycles = 0;
  /** Longest stretch with interrupts off outside interrupts and starts, in cycles; counted when asked for. */
  interruptsOffMost = 0;
  watchInterrupts = false;
  /** Lowest stack pointer seen while watched. */
  stackLeast = 0xffff;
  private readonly heard: number[] = [];
  private offSince = -1;
  private restartWatchdog = (): void => {};

  constructor(private readonly options: MachineOptions) {
    const { program, world, now, parts } = options;
    this.cpu = new CPU(program.words, SRAM_BYTES);
    this.flash = new Flash(this.cpu);
    const { cpu } = this;
    this.ports = {
      B: new AVRIOPort(cpu, portBConfig),
      C: new AVRIOPort(cpu, portCConfig),
      D: new AVRIOPort(cpu, portDConfig),
    };
    for (const port of Object.values(this.ports)) port.addListener(() => options.pinsChanged());
    this.timers = [0, 1, 2].map((which) => new Timer(cpu, which, () => options.pinsChanged()));
    this.usart = new AVRUSART(cpu, usart0Config, CLOCK_HZ);
    this.keepUsartFlags();
    this.queueHeard();
    this.usart.onByteTransmit = (byte) => options.sent(byte);
    this.eeprom = new Eeprom(cpu, world, now);
    this.twi = new Twi(cpu, parts, () => world.around.troubles['bus held'] === true);
    this.attachAdc();
    this.attachWatchdog();
  }

  /**
   * A restart: `flags` come into MCUSR beside those that nobody has cleared (power-on clears
   * all but its own), and r2 as a bootloader leaves it.
   */
  reset(flags: number, r2: number): void {
    const { cpu } = this;
    const left = flags & RESET_FLAG.powerOn ? 0 : itemAt(cpu.data, REG.MCUSR);
    for (const [ddr, port] of [
      [REG.DDRB, REG.PORTB],
      [REG.DDRC, REG.PORTC],
      [REG.DDRD, REG.PORTD],
    ] as const) {
      cpu.writeData(ddr, 0);
      cpu.writeData(port, 0);
    }
    const pins = [REG.PINB, REG.PINC, REG.PIND].map((pin) => [pin, itemAt(cpu.data, pin)] as const);
    cpu.reset();
    cpu.pc = this.options.program.begin;
    cpu.data.fill(0, IO_FROM, IO_END);
    for (const [pin, value] of pins) cpu.data[pin] = value;
    cpu.SP = cpu.data.length - 1;
    for (const timer of this.timers) timer.reset();
    this.usart.reset();
    this.heard.length = 0;
    this.twi.reset();
    this.eeprom.reset();
    this.watchdogFired = false;
    cpu.data[REG.MCUSR] = flags | left;
    // While its flag stands the watchdog stays on, with its shortest time-out (data sheet).
    if ((flags | left) & RESET_FLAG.watchdog) cpu.data[REG.WDTCSR] = WDE;
    this.restartWatchdog();
    cpu.data[2] = r2;
    this.sleeping = false;
    this.offSince = -1;
    this.options.pinsChanged();
  }

  /** Runs (or sleeps) until the cycle counter reaches `target`. */
  run(target: number): void {
    const { cpu } = this;
    while (cpu.cycles < target && !this.watchdogFired) {
      if (this.sleeping) this.skip(target);
      else this.work(target);
    }
  }

  /** Instruction after instruction, until the program sleeps or `target` is reached. */
  private work(target: number): void {
    const { cpu } = this;
    const { progMem } = cpu;
    const began = cpu.cycles;
    while (cpu.cycles < target && !this.watchdogFired) {
      if (progMem[cpu.pc] === SLEEP && (itemAt(cpu.data, REG.SMCR) & SLEEP_ENABLED) !== 0) {
        cpu.pc++;
        cpu.cycles++;
        this.sleeping = true;
        break;
      }
      const word = itemAt(progMem, cpu.pc);
      if (word === SPM) this.flash.store();
      avrInstruction(cpu);
      if (!letsInterruptsIn(word)) cpu.tick();
      if (this.watchInterrupts) this.watch();
    }
    this.activeCycles += cpu.cycles - began;
  }

  /** Asleep: on to the next event, and awake if it brought an interrupt. */
  private skip(target: number): void {
    const { cpu } = this;
    if (cpu.nextInterrupt >= 0 && cpu.interruptsEnabled) {
      this.sleeping = false;
      cpu.cycles += WAKE_CYCLES;
      this.activeCycles += WAKE_CYCLES;
      cpu.tick();
      return;
    }
    // The emulator keeps the head of its queue to itself; there is no other way to ask when it is due.
    const next = (cpu as unknown as { readonly nextClockEvent: { readonly cycles: number } | null })
      .nextClockEvent;
    cpu.cycles = Math.max(cpu.cycles, Math.min(next?.cycles ?? target, target));
    if (next && next.cycles <= cpu.cycles) this.event();
  }

  /** Lets one due event happen without taking an interrupt yet. */
  private event(): void {
    const { cpu } = this;
    const enabled = itemAt(cpu.data, 95) & 0x80;
    cpu.data[95] = itemAt(cpu.data, 95) & 0x7f;
    cpu.tick();
    cpu.data[95] = itemAt(cpu.data, 95) | enabled;
  }

  private watch(): void {
    const { cpu } = this;
    this.stackLeast = Math.min(this.stackLeast, cpu.SP);
    if (cpu.interruptsEnabled) {
      if (this.offSince >= 0)
        this.interruptsOffMost = Math.max(this.interruptsOffMost, cpu.cycles - this.offSince);
      this.offSince = -1;
    } else if (this.offSince < 0) this.offSince = cpu.cycles;
  }

  /** A byte has arrived whole. Two that the program has not taken yet wait; a third is lost (data sheet). */
  hear(byte: number): void {
    const waits = (itemAt(this.cpu.data, REG.UCSR0A) & RXC) !== 0;
    if (!waits) this.usart.writeByte(byte, true);
    else if (this.heard.length < 1) this.heard.push(byte);
  }

  private queueHeard(): void {
    const { cpu } = this;
    const read = sure(cpu.readHooks[REG.UDR0]);
    cpu.readHooks[REG.UDR0] = (address) => {
      const value = read(address);
      const next = this.heard.shift();
      if (next !== undefined) this.usart.writeByte(next, true);
      return value;
    };
  }

  /** In the silicon what a program writes to UCSR0A leaves the flags that can only be read; the emulator forgets them. */
  private keepUsartFlags(): void {
    const { cpu } = this;
    const write = sure(cpu.writeHooks[REG.UCSR0A]);
    cpu.writeHooks[REG.UCSR0A] = (value, old, address, mask) => {
      const taken = write(value, old, address, mask);
      cpu.data[REG.UCSR0A] = itemAt(cpu.data, REG.UCSR0A) | (old & USART_READ_ONLY);
      return taken;
    };
  }

  /** The converter measures the 1.1 V reference against the supply: nothing else is wired to it. */
  private attachAdc(): void {
    const { cpu, options } = this;
    const [adsc, adie, adif] = [0x40, 0x08, 0x10];
    const done = {
      address: INTERRUPT_AT.ADC,
      flagRegister: REG.ADCSRA,
      flagMask: adif,
      enableRegister: REG.ADCSRA,
      enableMask: adie,
    };
    const finish = (): void => {
      const steps = Math.min(1023, Math.floor((1100 * 1024) / options.supply()));
      cpu.data[REG.ADCL] = steps & 0xff;
      cpu.data[REG.ADCH] = steps >> 8;
      cpu.data[REG.ADCSRA] = itemAt(cpu.data, REG.ADCSRA) & ~adsc;
      cpu.setInterruptFlag(done);
    };
    cpu.writeHooks[REG.ADCSRA] = (value, old) => {
      cpu.data[REG.ADCSRA] = (value & ~adif) | (old & adsc) | (value & adif ? 0 : old & adif);
      cpu.updateInterruptEnable(done, value);
      // A conversion takes 13 cycles of the converter's clock.
      if (value & adsc && !(old & adsc)) cpu.addClockEvent(finish, 13 * (1 << Math.max(1, value & 7)));
      return true;
    };
  }

  /** First time-out: interrupt, if asked for; the next: reset (data sheet, interrupt and reset mode). */
  private attachWatchdog(): void {
    const { cpu } = this;
    const interrupt = {
      address: INTERRUPT_AT.WDT,
      flagRegister: REG.WDTCSR,
      flagMask: 0x80,
      enableRegister: REG.WDTCSR,
      enableMask: WDIE,
    };
    let changeUntil = 0;
    const period = (): number => {
      const value = itemAt(cpu.data, REG.WDTCSR);
      return (2048 << (((value & 0x20) >> 2) | (value & 7))) * (CLOCK_HZ / WATCHDOG_HZ);
    };
    const expired = (): void => {
      const value = itemAt(cpu.data, REG.WDTCSR);
      if (value & WDIE) {
        cpu.setInterruptFlag(interrupt);
        cpu.data[REG.WDTCSR] = itemAt(cpu.data, REG.WDTCSR) & ~WDIE;
        if (value & WDE) cpu.addClockEvent(expired, period());
      } else if (value & WDE) this.watchdogFired = true;
    };
    const restart = (): void => {
      cpu.clearClockEvent(expired);
      if (itemAt(cpu.data, REG.WDTCSR) & (WDE | WDIE)) cpu.addClockEvent(expired, period());
    };
    this.restartWatchdog = restart;
    cpu.onWatchdogReset = restart;
    cpu.writeHooks[REG.WDTCSR] = (value, old) => {
      if (value & WDCE && value & WDE) changeUntil = cpu.cycles + 4;
      const free = cpu.cycles <= changeUntil;
      cpu.data[REG.WDTCSR] = free ? value & 0x6f : (old & 0x2f) | (value & WDIE);
      restart();
      return true;
    };
  }
}
