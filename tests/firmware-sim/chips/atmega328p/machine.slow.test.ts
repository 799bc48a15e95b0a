/** The emulated chip where avr8js alone would flatter or mislead. */

import { expect, it } from 'vitest';
import { Machine } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { INTERRUPT_AT, REG } from '../../../../firmware-sim/chips/atmega328p/registers.ts';
import { newWorld } from '../../../../firmware-sim/world/world.ts';
import { itemAt } from '../../../../shared/assert.ts';

/** Instruction words (instruction set manual). */
const LDI_R16_1 = 0xe001;
const OUT_SMCR_R16 = 0xbf03;
const SEI = 0x9478;
const SLEEP = 0x9588;
const SBI_PORTB_0 = 0x9a28;
const RJMP_HERE = 0xcfff;
const RETI = 0x9518;

it('an interrupt that waits when interrupts are let in comes after the next instruction: sleep ends at once', () => {
  const program = new Uint16Array(0x4000).fill(0xffff);
  program.set([LDI_R16_1, OUT_SMCR_R16, SEI, SLEEP, SBI_PORTB_0, RJMP_HERE]);
  program[INTERRUPT_AT.TWI] = RETI;
  const world = newWorld({
    boardId: 'test',
    utc: 0,
    seed: 1,
    driftPpm: 0,
    clockRight: true,
    probe: undefined,
  });
  const machine = new Machine({
    ...{ program: { words: program, begin: 0 }, world, parts: [] },
    now: () => 0,
    supply: () => 5000,
    pinsChanged: () => undefined,
    sent: () => undefined,
  });
  machine.cpu.data[REG.TWCR] = 1;
  machine.cpu.setInterruptFlag({
    address: INTERRUPT_AT.TWI,
    flagRegister: REG.TWCR,
    flagMask: 0x80,
    enableRegister: REG.TWCR,
    enableMask: 1,
  });
  machine.run(1000);
  expect(itemAt(machine.cpu.data, REG.PORTB) & 1).toBe(1);
});
