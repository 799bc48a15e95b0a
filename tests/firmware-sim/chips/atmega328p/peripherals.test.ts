/**
 * The emulated chip's bus, EEPROM, watchdog, converter and receiver, asked by their
 * registers as a program asks them, against the ATmega328P data sheet (TWI status codes,
 * EEPROM write procedure, watchdog change sequence, receive buffer; from memory); and the
 * probe on its wire (DS18B20 data sheet, from memory).
 */

import { describe, expect, it } from 'vitest';
import { Machine, RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { clockPart } from '../../../../firmware-sim/chips/atmega328p/parts.ts';
import { WireProbe } from '../../../../firmware-sim/chips/atmega328p/probe.ts';
import { REG } from '../../../../firmware-sim/chips/atmega328p/registers.ts';
import type { TwiPart } from '../../../../firmware-sim/chips/atmega328p/twi.ts';
import { newWorld } from '../../../../firmware-sim/world/world.ts';
import { itemAt } from '../../../../shared/assert.ts';
import { crc8 } from '../../../../shared/crc.ts';

const MS = 16_000;
const RJMP_HERE = 0xcfff;
/** `ldi r16, 1`, `out SMCR, r16`, `sleep`: it sleeps for ever, which the machine skips. */
const SLEEPS = [0xe001, 0xbf03, 0x9588, RJMP_HERE];
const CLI = 0x94f8;
const SEI = 0x9478;
const NOP = 0;

const world = () =>
  newWorld({ boardId: 'test', utc: 86_400, seed: 1, driftPpm: 0, clockRight: true, probe: undefined });

/** A machine that sleeps, or what `words` say. */
function machine(words: readonly number[] = SLEEPS, parts: readonly TwiPart[] = [], around = world()) {
  const program = new Uint16Array(0x4000).fill(0xffff);
  program.set(words);
  const made: Machine = new Machine({
    ...{ program: { words: program, begin: 0 }, world: around, parts },
    now: () => made.cpu.cycles / 16,
    supply: () => 5000,
    pinsChanged: () => undefined,
    sent: () => undefined,
  });
  return {
    made,
    around,
    get: (register: number) => itemAt(made.cpu.data, register),
    set: (register: number, value: number) => made.cpu.writeData(register, value),
    pass: (cycles: number) => made.run(made.cpu.cycles + cycles),
  };
}

describe('the two-wire bus', () => {
  const [TWINT, TWEA, TWSTA, TWSTO, TWEN] = [0x80, 0x40, 0x20, 0x10, 0x04];
  const BYTE = 9 * 16;

  /** A part at 0x50 that gives 1, 2, 3 … and keeps what it is given; and another machine's status after each step. */
  function bus() {
    const taken: number[] = [];
    let next = 0;
    const part: TwiPart = {
      address: 0x50,
      select: () => true,
      write: (byte) => taken.push(byte),
      read: () => ++next,
      stop: () => taken.push(-1),
    };
    const chip = machine(SLEEPS, [part]);
    /** Gives an order and waits: the status code, or undefined when nothing came of it. */
    const order = (bits: number, data?: number, wait = BYTE + 20): number | undefined => {
      if (data !== undefined) chip.set(REG.TWDR, data);
      chip.set(REG.TWCR, TWINT | TWEN | bits);
      chip.pass(wait);
      return chip.get(REG.TWCR) & TWINT ? chip.get(REG.TWSR) & 0xf8 : undefined;
    };
    return { chip, order, taken };
  }

  it('says start, address and data with and without an acknowledgement', () => {
    const { order, taken } = bus();
    expect(order(TWSTA)).toBe(0x08);
    expect(order(0, 0xa0)).toBe(0x18);
    expect(order(0, 7)).toBe(0x28);
    expect(order(TWSTA)).toBe(0x10);
    expect(order(0, 0xa1)).toBe(0x40);
    expect(order(TWEA)).toBe(0x50);
    expect(order(0)).toBe(0x58);
    expect(taken).toEqual([7]);
  });

  it('nobody answers to an address that is not there, to read or to write', () => {
    const { order } = bus();
    expect(order(TWSTA)).toBe(0x08);
    expect(order(0, 0x42)).toBe(0x20);
    expect(order(0, 1)).toBe(0x30);
    expect(order(TWSTA)).toBe(0x10);
    expect(order(0, 0x43)).toBe(0x48);
  });

  it('a battery clock that is silent acknowledges nothing', () => {
    const around = world();
    const chip = machine(
      SLEEPS,
      [
        clockPart(
          around,
          () => 0,
          () => undefined,
        ),
      ],
      around,
    );
    const call = (address: number): number => {
      for (const [bits, data] of [
        [TWSTA, 0],
        [0, address],
      ] as const) {
        chip.set(REG.TWDR, data);
        chip.set(REG.TWCR, TWINT | TWEN | bits);
        chip.pass(BYTE + 20);
      }
      return chip.get(REG.TWSR) & 0xf8;
    };
    expect(call(0xd0)).toBe(0x18);
    around.around.troubles['clock silent'] = true;
    expect(call(0xd0)).toBe(0x20);
    expect(call(0xd1)).toBe(0x48);
  });

  it('a stop clears its own bit and raises no flag; the part hears of it', () => {
    const { chip, order, taken } = bus();
    order(TWSTA);
    order(0, 0xa0);
    expect(order(TWSTO)).toBeUndefined();
    expect(chip.get(REG.TWCR) & TWSTO).toBe(0);
    expect(taken).toEqual([-1]);
    expect(order(TWSTA)).toBe(0x08);
  });

  it('the flag stays up until a 1 is written to it', () => {
    const { chip, order } = bus();
    expect(order(TWSTA)).toBe(0x08);
    chip.set(REG.TWCR, TWEN);
    chip.pass(BYTE);
    expect(chip.get(REG.TWCR) & TWINT).toBe(TWINT);
    expect(chip.get(REG.TWSR) & 0xf8).toBe(0x08);
  });

  it('an order given while one is under way takes its place; switched off, nothing comes of it', () => {
    const { chip, order } = bus();
    order(TWSTA);
    chip.set(REG.TWDR, 0xa0);
    chip.set(REG.TWCR, TWINT | TWEN);
    chip.pass(20);
    expect(order(0, 0xa0, BYTE - 20)).toBeUndefined();
    chip.pass(60);
    expect(chip.get(REG.TWSR) & 0xf8).toBe(0x18);
    chip.set(REG.TWCR, TWINT | TWEN);
    chip.set(REG.TWCR, 0);
    chip.pass(BYTE);
    expect(chip.get(REG.TWCR) & TWINT).toBe(0);
    expect(chip.get(REG.TWSR) & 0xf8).toBe(0xf8);
  });

  it('with its data line held never finishes', () => {
    const { chip, order } = bus();
    chip.around.around.troubles['bus held'] = true;
    expect(order(TWSTA, undefined, 100 * MS)).toBeUndefined();
  });
});

describe('the EEPROM', () => {
  const [EERE, EEPE, EEMPE] = [1, 2, 4];

  function eeprom() {
    const chip = machine();
    const write = (address: number, value: number): void => {
      chip.set(REG.EEARH, address >> 8);
      chip.set(REG.EEARL, address & 0xff);
      chip.set(REG.EEDR, value);
      chip.set(REG.EECR, EEMPE);
      chip.set(REG.EECR, EEMPE | EEPE);
    };
    const readNow = (): number => {
      chip.set(REG.EECR, EERE);
      return chip.get(REG.EEDR);
    };
    return { ...chip, write, readNow };
  }

  it('takes 3.4 ms a byte, and can be read then', () => {
    const one = eeprom();
    one.write(0x123, 0x5a);
    one.pass(3 * MS);
    expect(one.get(REG.EECR) & EEPE).toBe(EEPE);
    one.pass(MS);
    expect(one.get(REG.EECR) & EEPE).toBe(0);
    expect(one.readNow()).toBe(0x5a);
    expect(one.made.eeprom.mistakes).toBe(0);
  });

  it('read while it writes is the program’s mistake, and gives nothing of use', () => {
    const one = eeprom();
    one.write(1, 0x5a);
    one.pass(100);
    expect(one.readNow()).toBe(0);
    expect(one.made.eeprom.mistakes).toBe(1);
  });

  it('writes nothing without the master bit within four cycles before', () => {
    const one = eeprom();
    one.set(REG.EEDR, 1);
    one.set(REG.EECR, EEPE);
    expect(one.get(REG.EECR) & EEPE).toBe(0);
    one.set(REG.EECR, EEMPE);
    one.pass(10);
    one.set(REG.EECR, EEMPE | EEPE);
    expect(one.get(REG.EECR) & EEPE).toBe(0);
  });

  it('goes on with a write over a reset, and the program has to wait for it', () => {
    const one = eeprom();
    one.write(2, 0x77);
    one.pass(MS);
    one.made.reset(RESET_FLAG.external, 0);
    expect(one.get(REG.EECR) & EEPE).toBe(EEPE);
    one.pass(3 * MS);
    expect(one.get(REG.EECR) & EEPE).toBe(0);
    one.set(REG.EEARL, 2);
    expect(one.readNow()).toBe(0x77);
  });
});

describe('the watchdog', () => {
  const [WDE, WDCE, WDIE] = [0x08, 0x10, 0x40];
  /** 2,048 cycles of 128 kHz. */
  const SHORTEST = 16 * MS;

  function watched(value: number) {
    const chip = machine();
    chip.set(REG.WDTCSR, WDCE | WDE);
    chip.set(REG.WDTCSR, value);
    return chip;
  }

  it('resets after its time, the shortest 16 ms', () => {
    const chip = watched(WDE);
    chip.pass(SHORTEST - 100);
    expect(chip.made.watchdogFired).toBe(false);
    chip.pass(200);
    expect(chip.made.watchdogFired).toBe(true);
  });

  it('first interrupts and then resets where both are asked for; interrupts only, it never resets', () => {
    for (const [value, fires] of [
      [WDE | WDIE, true],
      [WDIE, false],
    ] as const) {
      const chip = watched(value);
      chip.pass(SHORTEST + 100);
      expect(chip.made.watchdogFired).toBe(false);
      expect(chip.get(REG.WDTCSR) & WDIE).toBe(0);
      chip.pass(SHORTEST + 100);
      expect(chip.made.watchdogFired).toBe(fires);
    }
  });

  it('is not switched off without its change sequence, nor later than four cycles after it began', () => {
    const chip = watched(WDE);
    chip.pass(10);
    chip.set(REG.WDTCSR, 0);
    expect(chip.get(REG.WDTCSR) & WDE).toBe(WDE);
    chip.set(REG.WDTCSR, WDCE | WDE);
    chip.pass(10);
    chip.set(REG.WDTCSR, 0);
    expect(chip.get(REG.WDTCSR) & WDE).toBe(WDE);
    chip.set(REG.WDTCSR, WDCE | WDE);
    chip.set(REG.WDTCSR, 0);
    expect(chip.get(REG.WDTCSR)).toBe(0);
    chip.pass(10 * SHORTEST);
    expect(chip.made.watchdogFired).toBe(false);
  });
});

describe('the converter', () => {
  it('takes 13 of its cycles, and keeps its flag until a 1 is written to it', () => {
    const chip = machine();
    const [ADEN, ADSC, ADIF] = [0x80, 0x40, 0x10];
    chip.set(REG.ADCSRA, ADEN | ADSC | 7);
    chip.pass(13 * 128 - 20);
    expect(chip.get(REG.ADCSRA) & (ADSC | ADIF)).toBe(ADSC);
    chip.pass(40);
    expect(chip.get(REG.ADCSRA) & (ADSC | ADIF)).toBe(ADIF);
    // 1.1 V of 5 V in 1,024 steps.
    expect(chip.get(REG.ADCL) + 256 * chip.get(REG.ADCH)).toBe(225);
    chip.set(REG.ADCSRA, ADEN | 7);
    expect(chip.get(REG.ADCSRA) & ADIF).toBe(ADIF);
    chip.set(REG.ADCSRA, ADEN | ADIF | 7);
    expect(chip.get(REG.ADCSRA) & ADIF).toBe(0);
  });
});

describe('the receiver', () => {
  it('keeps two bytes that the program has not taken; the third is lost', () => {
    const chip = machine();
    chip.set(0xc1, 0x10); // RXEN
    for (const byte of [11, 22, 33]) chip.made.hear(byte);
    const taken: number[] = [];
    while (chip.get(REG.UCSR0A) & 0x80 && taken.length < 4) taken.push(chip.made.cpu.readData(REG.UDR0));
    expect(taken).toEqual([11, 22]);
  });
});

describe('a watched program', () => {
  it('is told how long it kept interrupts off', () => {
    const chip = machine([SEI, NOP, CLI, ...Array(50).fill(NOP), SEI, NOP, RJMP_HERE]);
    chip.made.watchInterrupts = true;
    chip.pass(200);
    // Fifty instructions of a cycle, and those at both ends.
    expect(chip.made.interruptsOffMost).toBeGreaterThanOrEqual(50);
    expect(chip.made.interruptsOffMost).toBeLessThanOrEqual(52);
  });
});

describe('the probe', () => {
  const MICRO = 16;

  /** A probe on its wire; bytes go to it and come from it, lowest bit first. */
  function wire(temperature: () => number | undefined) {
    const chip = machine();
    let low = false;
    const probe = new WireProbe(chip.made.cpu, temperature, (high) => {
      low = !high;
    });
    const hold = (micros: number): void => {
      probe.pulled(true);
      chip.pass(micros * MICRO);
      probe.pulled(false);
    };
    const slot = (micros: number): void => {
      hold(micros);
      chip.pass((70 - micros) * MICRO);
    };
    return {
      pass: chip.pass,
      /** Whether somebody is there: low some time after the reset's end. */
      reset: (): boolean => {
        hold(500);
        chip.pass(80 * MICRO);
        const there = low;
        chip.pass(400 * MICRO);
        return there;
      },
      send: (byte: number): void => {
        for (let bit = 0; bit < 8; bit++) slot((byte >> bit) & 1 ? 5 : 60);
      },
      take: (count: number): number[] =>
        Array.from({ length: count }, () => {
          let byte = 0;
          for (let bit = 0; bit < 8; bit++) {
            hold(3);
            chip.pass(10 * MICRO);
            if (!low) byte |= 1 << bit;
            chip.pass(57 * MICRO);
          }
          return byte;
        }),
    };
  }

  it('answers its commands, and holds 85 °C until it has measured', () => {
    const one = wire(() => 0x191);
    const scratchpad = (): number[] => {
      expect(one.reset()).toBe(true);
      one.send(0xcc);
      one.send(0xbe);
      return one.take(9);
    };
    expect(scratchpad().slice(0, 2)).toEqual([0x50, 0x05]);
    one.reset();
    one.send(0xcc);
    one.send(0x44);
    one.pass(760 * MS);
    const pad = scratchpad();
    expect(pad.slice(0, 2)).toEqual([0x91, 0x01]);
    expect(crc8(Uint8Array.from(pad))).toBe(0);
  });

  it('says nothing to a command it does not know, or to another probe', () => {
    const one = wire(() => 0x191);
    for (const bytes of [
      [0xcc, 0x4e],
      [0x55, 0xbe],
    ]) {
      expect(one.reset()).toBe(true);
      for (const byte of bytes) one.send(byte);
      expect(one.take(2)).toEqual([0xff, 0xff]);
    }
  });

  it('that is not there leaves the line high', () => {
    let here = true;
    const one = wire(() => (here ? 0x191 : undefined));
    expect(one.reset()).toBe(true);
    one.send(0xcc);
    here = false;
    one.send(0xbe);
    expect(one.take(2)).toEqual([0xff, 0xff]);
    expect(one.reset()).toBe(false);
  });
});
