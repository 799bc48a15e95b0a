/**
 * The three timers, as far as this firmware uses them: counting from zero to
 * a top and around, with overflow and compare A interrupts, and the registers
 * that set PWM duties.
 *
 * Always holds: the count is worked out from the cycle counter when asked for,
 * and an event is queued only for an interrupt that is enabled, so that idle
 * time can be skipped. Register layout and prescalers: data sheet, 8-bit
 * Timer 0 and 2, 16-bit Timer 1.
 */

import type { CPU } from 'avr8js';
import { itemAt } from '../../../shared/assert.ts';

interface TimerPlan {
  readonly TCCRA: number;
  readonly TCCRB: number;
  readonly TCNT: number;
  readonly OCRA: number;
  readonly OCRB: number;
  readonly TIMSK: number;
  readonly TIFR: number;
  readonly overflow: number;
  readonly compareA: number;
  readonly wide: boolean;
  readonly prescalers: readonly number[];
}

const PRESCALERS = [0, 1, 8, 64, 256, 1024];
const PRESCALERS_2 = [0, 1, 8, 32, 64, 128, 256, 1024];

const PLANS: readonly TimerPlan[] = [
  {
    TCCRA: 0x44,
    TCCRB: 0x45,
    TCNT: 0x46,
    OCRA: 0x47,
    OCRB: 0x48,
    TIMSK: 0x6e,
    TIFR: 0x35,
    overflow: 0x20,
    compareA: 0x1c,
    wide: false,
    prescalers: PRESCALERS,
  },
  {
    TCCRA: 0x80,
    TCCRB: 0x81,
    TCNT: 0x84,
    OCRA: 0x88,
    OCRB: 0x8a,
    TIMSK: 0x6f,
    TIFR: 0x36,
    overflow: 0x1a,
    compareA: 0x16,
    wide: true,
    prescalers: PRESCALERS,
  },
  {
    TCCRA: 0xb0,
    TCCRB: 0xb1,
    TCNT: 0xb2,
    OCRA: 0xb3,
    OCRB: 0xb4,
    TIMSK: 0x70,
    TIFR: 0x37,
    overflow: 0x12,
    compareA: 0x0e,
    wide: false,
    prescalers: PRESCALERS_2,
  },
];

const TOV = 1;
const OCFA = 2;

/** One timer on a CPU. */
export class Timer {
  private readonly plan: TimerPlan;
  private began = 0;
  private prescaler = 0;
  private high = 0;
  /** Overflows up to which the flag was cleared, by the program or by its interrupt. */
  private overflowsTold = 0;

  constructor(
    private readonly cpu: CPU,
    which: number,
    private readonly dutyChanged: () => void,
  ) {
    this.plan = itemAt(PLANS, which);
    const { TCCRA, TCCRB, TCNT, OCRA, OCRB, TIMSK, TIFR, wide } = this.plan;
    cpu.writeHooks[TCCRB] = (value) => this.setControlB(value);
    for (const address of [TCCRA, OCRB]) cpu.writeHooks[address] = (value) => this.setDuty(address, value);
    cpu.writeHooks[OCRA] = (value) => this.setCompareA(value);
    cpu.writeHooks[TIMSK] = (value) => this.setMask(value);
    cpu.writeHooks[TIFR] = (value) => this.clearFlags(value);
    cpu.readHooks[TCNT] = () => this.readCount();
    cpu.writeHooks[TCNT] = (value) => this.setCount(value);
    cpu.readHooks[TIFR] = () => this.readFlags();
    if (!wide) return;
    // Timer 1's high bytes pass through one temporary register; reading the low byte fetches the high one.
    for (const address of [OCRA + 1, OCRB + 1, TCNT + 1]) {
      cpu.writeHooks[address] = (value) => {
        this.high = value;
        cpu.data[address] = value;
        return true;
      };
    }
  }

  private get top(): number {
    const { data } = this.cpu;
    // Timer 1 counts to 0xFF only in the 8-bit fast PWM mode that dimming uses.
    return this.plan.wide && (itemAt(data, this.plan.TCCRA) & 3) === 0 ? 0xffff : 0xff;
  }

  private get count(): number {
    if (this.prescaler === 0) return 0;
    return Math.floor((this.cpu.cycles - this.began) / this.prescaler) % (this.top + 1);
  }

  private readCount(): number {
    const { count } = this;
    if (this.plan.wide) this.cpu.data[this.plan.TCNT + 1] = count >> 8;
    return count & 0xff;
  }

  private setCount(low: number): boolean {
    const count = (this.plan.wide ? this.high << 8 : 0) | low;
    this.began = this.cpu.cycles - count * this.prescaler;
    this.overflowsTold = 0;
    this.queue();
    return true;
  }

  private get overflows(): number {
    return this.prescaler === 0 ? 0 : Math.floor((this.cpu.cycles - this.began) / this.period);
  }

  /** A program may look at the overflow's flag instead of letting it interrupt. */
  private readFlags(): number {
    const { data } = this.cpu;
    const flags = itemAt(data, this.plan.TIFR) | (this.overflows > this.overflowsTold ? TOV : 0);
    data[this.plan.TIFR] = flags;
    return flags;
  }

  private setControlB(value: number): boolean {
    this.cpu.data[this.plan.TCCRB] = value;
    this.prescaler = itemAt(this.plan.prescalers, value & 7);
    this.began = this.cpu.cycles;
    this.overflowsTold = 0;
    this.queue();
    return true;
  }

  private setDuty(address: number, value: number): boolean {
    this.cpu.data[address] = value;
    this.dutyChanged();
    return true;
  }

  private setCompareA(value: number): boolean {
    const { OCRA, wide } = this.plan;
    this.cpu.data[OCRA] = value;
    if (wide) this.cpu.data[OCRA + 1] = this.high;
    this.queue();
    this.dutyChanged();
    return true;
  }

  private setMask(value: number): boolean {
    this.cpu.data[this.plan.TIMSK] = value;
    this.cpu.updateInterruptEnable(this.interrupt(TOV), value);
    this.cpu.updateInterruptEnable(this.interrupt(OCFA), value);
    this.queue();
    return true;
  }

  private clearFlags(value: number): boolean {
    if (value & TOV) this.overflowsTold = this.overflows;
    for (const flag of [TOV, OCFA]) this.cpu.clearInterruptByFlag(this.interrupt(flag), value & flag);
    return true;
  }

  private interrupt(flag: number) {
    const { TIFR, TIMSK, overflow, compareA } = this.plan;
    const address = flag === TOV ? overflow : compareA;
    return { address, flagRegister: TIFR, flagMask: flag, enableRegister: TIMSK, enableMask: flag };
  }

  private readonly overflowed = (): void => {
    this.cpu.setInterruptFlag(this.interrupt(TOV));
    this.overflowsTold = this.overflows;
    this.queueOverflow();
  };

  private readonly compared = (): void => {
    this.cpu.setInterruptFlag(this.interrupt(OCFA));
    this.queueCompare();
  };

  /** Queues what is enabled, afresh. */
  private queue(): void {
    this.cpu.clearClockEvent(this.overflowed);
    this.cpu.clearClockEvent(this.compared);
    this.queueOverflow();
    this.queueCompare();
  }

  private get period(): number {
    return this.prescaler * (this.top + 1);
  }

  /** Cycles into the period: an event that comes late does not delay those after it. */
  private get into(): number {
    return (this.cpu.cycles - this.began) % this.period;
  }

  private get mask(): number {
    return itemAt(this.cpu.data, this.plan.TIMSK);
  }

  private queueOverflow(): void {
    if (this.prescaler === 0 || (this.mask & TOV) === 0) return;
    this.cpu.addClockEvent(this.overflowed, this.period - this.into);
  }

  private queueCompare(): void {
    const { cpu, plan, prescaler, period, into } = this;
    if (prescaler === 0 || (this.mask & OCFA) === 0) return;
    const compare = itemAt(cpu.data, plan.OCRA) | (plan.wide ? itemAt(cpu.data, plan.OCRA + 1) << 8 : 0);
    const ahead = (compare * prescaler - into + period) % period;
    cpu.addClockEvent(this.compared, ahead === 0 ? period : ahead);
  }

  /** After a reset: stopped. */
  reset(): void {
    this.prescaler = 0;
    this.high = 0;
  }

  /** The duty (0–255) of channel `A` or `B` when it drives its pin, else undefined. */
  duty(channel: string): number | undefined {
    const { data } = this.cpu;
    const connected = itemAt(data, this.plan.TCCRA) & (channel === 'A' ? 0x80 : 0x20);
    return connected ? data[channel === 'A' ? this.plan.OCRA : this.plan.OCRB] : undefined;
  }
}
