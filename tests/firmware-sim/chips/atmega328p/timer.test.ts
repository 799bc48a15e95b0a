/**
 * The emulated chip's timers and its program memory against the ATmega328P data
 * sheet (8-bit timers 0 and 2, 16-bit timer 1, self-programming; from memory).
 */

import { CPU } from 'avr8js';
import { describe, expect, it } from 'vitest';
import { Flash } from '../../../../firmware-sim/chips/atmega328p/flash.ts';
import { Timer } from '../../../../firmware-sim/chips/atmega328p/timer.ts';
import { itemAt } from '../../../../shared/assert.ts';

const TOV = 1;
const OCFA = 2;
/** Registers in data space, by timer: control A and B, count, compare A and B, interrupt mask, flags. */
const T = [
  { A: 0x44, B: 0x45, count: 0x46, ocA: 0x47, ocB: 0x48, mask: 0x6e, flags: 0x35 },
  { A: 0x80, B: 0x81, count: 0x84, ocA: 0x88, ocB: 0x8a, mask: 0x6f, flags: 0x36 },
  { A: 0xb0, B: 0xb1, count: 0xb2, ocA: 0xb3, ocB: 0xb4, mask: 0x70, flags: 0x37 },
] as const;

function timer(which: number) {
  const cpu = new CPU(new Uint16Array(16_384));
  let duties = 0;
  const one = new Timer(cpu, which, () => duties++);
  const registers = itemAt(T, which);
  /** Lets so many cycles pass; gives the vectors (word addresses) whose interrupts fell due, in order. */
  const pass = (cycles: number): number[] => {
    const due: number[] = [];
    for (const end = cpu.cycles + cycles; cpu.cycles < end; ) {
      cpu.cycles++;
      cpu.tick();
      for (const flag of [TOV, OCFA]) {
        if ((itemAt(cpu.data, registers.flags) & itemAt(cpu.data, registers.mask) & flag) === 0) continue;
        due.push(cpu.cycles);
        cpu.writeData(registers.flags, flag);
      }
    }
    return due;
  };
  const count = (): number => {
    const low = cpu.readData(registers.count);
    return which === 1 ? low + 256 * itemAt(cpu.data, registers.count + 1) : low;
  };
  return { cpu, one, registers, pass, count, duties: () => duties };
}

describe('a timer', () => {
  it.each([
    [0, 1, 1],
    [0, 2, 8],
    [0, 3, 64],
    [0, 5, 1024],
    [1, 3, 64],
    [2, 3, 32],
    [2, 7, 1024],
  ])('%i with clock select %i counts once in %i cycles', (which, select, prescaler) => {
    const { cpu, registers, pass, count } = timer(which);
    cpu.writeData(registers.B, select);
    pass(5 * prescaler);
    expect(count()).toBe(5);
    pass(prescaler - 1);
    expect(count()).toBe(5);
    pass(1);
    expect(count()).toBe(6);
  });

  it.each([0, 1, 2])('%i stands still without a clock, and after a reset', (which) => {
    const { cpu, one, registers, pass, count } = timer(which);
    cpu.writeData(registers.mask, TOV | OCFA);
    expect([pass(70_000), count()]).toEqual([[], 0]);
    cpu.writeData(registers.B, 1);
    one.reset();
    expect(count()).toBe(0);
    expect(cpu.readData(registers.flags) & TOV).toBe(0);
  });

  it('sets its overflow flag at the wrap, and a one written clears it, until the next wrap', () => {
    const { cpu, registers, pass } = timer(2);
    cpu.writeData(registers.B, 1);
    const flag = (): number => cpu.readData(registers.flags) & TOV;
    pass(255);
    expect(flag()).toBe(0);
    pass(1);
    expect(flag()).toBe(TOV);
    cpu.writeData(registers.flags, OCFA);
    expect(flag()).toBe(TOV);
    cpu.writeData(registers.flags, TOV);
    expect(flag()).toBe(0);
    pass(256);
    expect(flag()).toBe(TOV);
  });

  it('interrupts at every wrap, and where it passes its compare value, when these are let', () => {
    const { cpu, registers, pass } = timer(0);
    cpu.writeData(registers.B, 2);
    expect(pass(8 * 600)).toEqual([]);
    cpu.writeData(registers.count, 0);
    const from = cpu.cycles;
    cpu.writeData(registers.mask, TOV);
    expect(pass(8 * 600).map((at) => at - from)).toEqual([8 * 256, 8 * 512]);
    cpu.writeData(registers.count, 0);
    const again = cpu.cycles;
    cpu.writeData(registers.ocA, 100);
    cpu.writeData(registers.mask, OCFA);
    expect(pass(8 * 600).map((at) => at - again)).toEqual([8 * 100, 8 * 356]);
  });

  it('1 is 16 bits wide through its temporary byte; in 8-bit fast PWM it wraps at 0xFF', () => {
    const { cpu, registers, pass, count } = timer(1);
    cpu.writeData(registers.B, 1);
    cpu.writeData(registers.count + 1, 0xff);
    cpu.writeData(registers.count, 0xf0);
    expect(count()).toBe(0xfff0);
    pass(16);
    expect([count(), cpu.readData(registers.flags) & TOV]).toEqual([0, TOV]);
    cpu.writeData(registers.ocA + 1, 0x01);
    cpu.writeData(registers.ocA, 0x02);
    cpu.writeData(registers.mask, OCFA);
    const from = cpu.cycles;
    expect(pass(1000).map((at) => at - from)).toEqual([0x102]);
    cpu.writeData(registers.mask, 0);
    cpu.writeData(registers.A, 0x81);
    cpu.writeData(registers.B, 1);
    pass(256 + 7);
    expect(count()).toBe(7);
  });

  it('drives a pin with its duty only while that is connected, and says when it changes', () => {
    const { cpu, one, registers, duties } = timer(2);
    cpu.writeData(registers.ocA, 40);
    cpu.writeData(registers.ocB, 50);
    expect([one.duty('A'), one.duty('B')]).toEqual([undefined, undefined]);
    cpu.writeData(registers.A, 0x83);
    expect([one.duty('A'), one.duty('B')]).toEqual([40, undefined]);
    cpu.writeData(registers.A, 0xa3);
    expect([one.duty('A'), one.duty('B')]).toEqual([40, 50]);
    expect(duties()).toBe(4);
  });
});

describe('the program memory', () => {
  const SPMCSR = 0x57;
  const [SPMEN, PGERS, PGWRT, RWWSRE, RWWSB] = [0x01, 0x02, 0x04, 0x10, 0x40];

  function memory() {
    const cpu = new CPU(new Uint16Array(16_384).fill(0x1234));
    const flash = new Flash(cpu);
    /** The instruction spm with this control, at a byte address, r1:r0 holding `word`. */
    const spm = (control: number, address = 0, word = 0): void => {
      cpu.data[SPMCSR] = control;
      [cpu.data[30], cpu.data[31]] = [address & 0xff, address >> 8];
      [cpu.data[0], cpu.data[1]] = [word & 0xff, word >> 8];
      flash.store();
    };
    const pass = (cycles: number): void => {
      cpu.cycles += cycles;
      cpu.tick();
    };
    return { cpu, spm, pass, control: () => itemAt(cpu.data, SPMCSR) };
  }

  it('is erased by pages of 64 words, and takes its time', () => {
    const { cpu, spm, pass, control } = memory();
    spm(SPMEN | PGERS, 0x180);
    expect([...cpu.progMem.subarray(0xbf, 0xc1)]).toEqual([0x1234, 0xffff]);
    expect([...cpu.progMem.subarray(0xff, 0x101)]).toEqual([0xffff, 0x1234]);
    expect(control()).toBe(SPMEN | RWWSB);
    pass(3.6 * 16_000);
    expect(control()).toBe(SPMEN | RWWSB);
    pass(0.9 * 16_000);
    // Reading is let again only when it is asked for.
    expect(control()).toBe(RWWSB);
    spm(SPMEN | RWWSRE);
    expect(control()).toBe(0);
  });

  it('is written from a buffer, whose words fill one by one; a write only clears bits', () => {
    const { cpu, spm, pass } = memory();
    spm(SPMEN, 0x82, 0xff0f);
    spm(SPMEN, 0xfe, 0x0ff0);
    expect(cpu.progMem[0x41]).toBe(0x1234);
    spm(SPMEN | PGWRT, 0x80);
    pass(80_000);
    expect([...cpu.progMem.subarray(0x40, 0x42)]).toEqual([0x1234, 0x1234 & 0xff0f]);
    expect(cpu.progMem[0x7f]).toBe(0x1234 & 0x0ff0);
    // The buffer is empty again.
    spm(SPMEN | PGERS, 0x100);
    spm(SPMEN | PGWRT, 0x100);
    expect(cpu.progMem[0x81]).toBe(0xffff);
  });

  it('is left alone by an spm that was not let', () => {
    const { cpu, spm, control } = memory();
    spm(PGERS, 0x80);
    expect([cpu.progMem[0x40], control()]).toEqual([0x1234, PGERS]);
  });
});
