/**
 * The two-wire interface with real byte times, and the parts on the bus.
 *
 * Always holds: a start or stop takes one bit, a byte nine; a bus whose data
 * line is held never finishes. Status codes: data sheet, "TWI status codes".
 */

import type { CPU } from 'avr8js';
import { itemAt, sure } from '../../../shared/assert.ts';
import { INTERRUPT_AT, REG } from './registers.ts';

const TWINT = 0x80;
const TWEA = 0x40;
const TWSTA = 0x20;
const TWSTO = 0x10;
const TWEN = 0x04;
const IDLE = 0xf8;
const INTERRUPT = {
  address: INTERRUPT_AT.TWI,
  flagRegister: REG.TWCR,
  flagMask: TWINT,
  enableRegister: REG.TWCR,
  enableMask: 0x01,
  constant: true,
};

/** A part on the bus. */
export interface TwiPart {
  /** Its 7-bit address. */
  readonly address: number;
  /** Called by name; false: no acknowledge. */
  select(read: boolean): boolean;
  /** A byte written to it. */
  write(byte: number): void;
  /** The next byte read from it. */
  read(): number;
  /** The transfer ended. */
  stop(): void;
}

export class Twi {
  private selected: TwiPart | undefined;
  private started = false;

  constructor(
    private readonly cpu: CPU,
    private readonly parts: readonly TwiPart[],
    /** True while something holds the data line low. */
    private readonly held: () => boolean,
  ) {
    cpu.writeHooks[REG.TWCR] = (value) => this.control(value);
    this.status(IDLE);
  }

  private status(code: number): void {
    this.cpu.data[REG.TWSR] = (itemAt(this.cpu.data, REG.TWSR) & 3) | code;
  }

  private get code(): number {
    return itemAt(this.cpu.data, REG.TWSR) & 0xf8;
  }

  private get bitCycles(): number {
    return 16 + 2 * itemAt(this.cpu.data, REG.TWBR);
  }

  private pending: (() => void) | undefined;

  private after(bits: number, work: () => void): void {
    if (this.pending) this.cpu.clearClockEvent(this.pending);
    this.pending = () => {
      this.pending = undefined;
      work();
    };
    this.cpu.addClockEvent(this.pending, bits * this.bitCycles);
  }

  private control(value: number): boolean {
    const { cpu } = this;
    const waits = (itemAt(cpu.data, REG.TWCR) & TWINT) !== 0 && (value & TWINT) === 0;
    if (!waits) cpu.clearInterrupt(INTERRUPT);
    cpu.data[REG.TWCR] = (value & ~TWINT) | (waits ? TWINT : 0);
    if ((value & TWEN) === 0) this.off();
    else if (value & TWINT && !this.held()) this.act(value);
    cpu.updateInterruptEnable(INTERRUPT, value);
    return true;
  }

  private off(): void {
    if (this.pending) this.cpu.clearClockEvent(this.pending);
    this.pending = undefined;
    this.selected?.stop();
    this.selected = undefined;
    this.started = false;
    this.status(IDLE);
  }

  private act(value: number): void {
    if (value & TWSTO) this.after(1, () => this.stop());
    else if (value & TWSTA) this.after(1, () => this.start());
    else this.after(9, () => this.byte((value & TWEA) !== 0));
  }

  private done(code: number): void {
    this.status(code);
    this.cpu.setInterruptFlag(INTERRUPT);
  }

  private stop(): void {
    this.off();
    this.cpu.data[REG.TWCR] = itemAt(this.cpu.data, REG.TWCR) & ~TWSTO;
  }

  private start(): void {
    const repeated = this.started;
    this.started = true;
    this.done(repeated ? 0x10 : 0x08);
  }

  private byte(acknowledge: boolean): void {
    const data = itemAt(this.cpu.data, REG.TWDR);
    if (this.code === 0x08 || this.code === 0x10) this.call(data);
    else if (this.code === 0x40 || this.code === 0x50) {
      this.cpu.data[REG.TWDR] = sure(this.selected).read();
      this.done(acknowledge ? 0x50 : 0x58);
    } else {
      this.selected?.write(data);
      this.done(this.selected ? 0x28 : 0x30);
    }
  }

  private call(data: number): void {
    const read = (data & 1) !== 0;
    const part = this.parts.find(({ address }) => address === data >> 1);
    this.selected = part?.select(read) ? part : undefined;
    if (read) this.done(this.selected ? 0x40 : 0x48);
    else this.done(this.selected ? 0x18 : 0x20);
  }

  /** After a reset. */
  reset(): void {
    this.off();
  }
}
