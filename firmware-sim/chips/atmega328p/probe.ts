/**
 * A DS18B20-type probe on its wire: it hears how long the line is held low,
 * and holds it low itself to answer (timings and commands: its data sheet).
 *
 * Always holds: the line is low while either side holds it.
 */

import type { CPU } from 'avr8js';
import { crc8 } from '../../../shared/crc.ts';

const MICRO = 16;
const RESET_LOW = 400 * MICRO;
const ONE_LOW = 15 * MICRO;
const PRESENCE_AFTER = 30 * MICRO;
const PRESENCE = 120 * MICRO;
const HOLD_ZERO = 30 * MICRO;
const CONVERSION = 750_000 * MICRO;
const SKIP_ROM = 0xcc;
const CONVERT = 0x44;
const READ_SCRATCHPAD = 0xbe;
/** 85 °C, what it holds after power-on. */
const POWER_ON = 0x0550;

export class WireProbe {
  private low = false;
  private lowSince = 0;
  private bits = 0;
  private byte = 0;
  private listening: 'rom' | 'command' | 'nothing' = 'nothing';
  private answer: number[] = [];
  private measured = POWER_ON;
  private ready = Number.POSITIVE_INFINITY;
  private fresh = POWER_ON;

  constructor(
    private readonly cpu: CPU,
    /** 1/16 °C, or undefined: it does not answer. */
    private readonly temperature: () => number | undefined,
    /** Lets the line go (true) or holds it low. */
    private readonly drive: (high: boolean) => void,
  ) {}

  /** The chip pulls the line (true) or lets it go. */
  pulled(low: boolean): void {
    if (low === this.low) return;
    this.low = low;
    const { cycles } = this.cpu;
    if (low) {
      this.lowSince = cycles;
      if (this.answer.length > 0 && this.temperature() !== undefined) this.giveBit();
      return;
    }
    const held = cycles - this.lowSince;
    if (held >= RESET_LOW) this.reset();
    else if (this.answer.length === 0) this.takeBit(held < ONE_LOW);
  }

  private hold(from: number, cycles: number): void {
    this.cpu.addClockEvent(() => this.drive(false), from);
    this.cpu.addClockEvent(() => this.drive(true), from + cycles);
  }

  private reset(): void {
    this.answer = [];
    this.listening = 'rom';
    this.bits = 0;
    if (this.temperature() !== undefined) this.hold(PRESENCE_AFTER, PRESENCE);
  }

  private giveBit(): void {
    if (this.answer.shift() === 0) {
      this.drive(false);
      this.cpu.addClockEvent(() => this.drive(true), HOLD_ZERO);
    }
  }

  private takeBit(one: boolean): void {
    this.byte = ((this.byte >> 1) | (one ? 0x80 : 0)) & 0xff;
    if (++this.bits < 8) return;
    this.bits = 0;
    if (this.listening === 'rom') this.listening = this.byte === SKIP_ROM ? 'command' : 'nothing';
    else if (this.listening === 'command') this.command();
  }

  private command(): void {
    this.listening = 'nothing';
    const now = this.temperature();
    if (now === undefined) return;
    if (this.cpu.cycles >= this.ready) this.measured = this.fresh;
    if (this.byte === CONVERT) {
      this.fresh = now;
      this.ready = this.cpu.cycles + CONVERSION;
    } else if (this.byte === READ_SCRATCHPAD) this.answer = bitsOf(scratchpad(this.measured));
  }

  /** The chip restarted: it no longer pulls the line. */
  release(): void {
    this.pulled(false);
    this.answer = [];
    this.drive(true);
  }
}

function scratchpad(sixteenths: number): Uint8Array {
  const pad = Uint8Array.of(sixteenths & 0xff, (sixteenths >> 8) & 0xff, 0x4b, 0x46, 0x7f, 0xff, 0x0c, 0x10);
  return Uint8Array.of(...pad, crc8(pad));
}

const bitsOf = (bytes: Uint8Array): number[] =>
  [...bytes].flatMap((byte) => Array.from({ length: 8 }, (_, bit) => (byte >> bit) & 1));
