/** Every instruction word does what it does in avr8js (a kept emulator), found by look-up or not. */

import { avrInstruction, CPU } from 'avr8js';
import { expect, it } from 'vitest';
import { instruction, SORTS, SPECIAL } from '../../../../firmware-sim/chips/atmega328p/instructions.ts';
import { type Chance, draw } from '../../../../firmware-sim/world/random.ts';
import { itemAt } from '../../../../shared/assert.ts';

const PROGRAM_WORDS = 0x400;
const SRAM_BYTES = 0x800;
const RAM_FROM = 0x100;
const AT = 0x200;
/** Of each word, with other registers. */
const TRIES = 3;
/** What registers hold more often than chance has it: there flags change. */
const EDGES = [0, 1, 0x7f, 0x80, 0xff];

/** A CPU that keeps what its hooks are asked, and when. */
function watchedCpu() {
  const cpu = new CPU(new Uint16Array(PROGRAM_WORDS), SRAM_BYTES);
  const asked: string[] = [];
  // Every third address below the memory takes what is written, or is read, in its own way.
  for (let at = 0x20; at < RAM_FROM; at += 3) {
    cpu.readHooks[at] = (address) => {
      asked.push(`read ${address} at ${cpu.cycles}`);
      return cpu.cycles & 0xff;
    };
    cpu.writeHooks[at] = (value, old, address, mask) => {
      asked.push(`write ${value} over ${old} to ${address} by ${mask} at ${cpu.cycles}`);
      return at % 2 === 0;
    };
  }
  cpu.onWatchdogReset = () => asked.push(`watchdog at ${cpu.cycles}`);
  return { cpu, asked };
}

const byte = (chance: Chance): number =>
  draw(chance, 3) === 0 ? itemAt(EDGES, draw(chance, EDGES.length)) : draw(chance, 256);

/** lds, sts, jmp and call (instruction set manual). */
const hasTwoWords = (word: number): boolean => (word & 0xfc0f) === 0x9000 || (word & 0xfe0c) === 0x940c;

it('does to memory, hooks, counter and cycles what avr8js does, whatever the word', () => {
  const [own, other] = [watchedCpu(), watchedCpu()];
  const chance = { state: 2026 };
  const differing: string[] = [];
  let quick = 0;
  for (let word = 0; word < 0x10000; word++) {
    const sort = itemAt(SORTS, word);
    if (sort === SPECIAL) continue;
    if (sort !== 0) quick++;
    for (let time = 0; time < TRIES; time++) {
      const registers = Array.from({ length: 32 }, () => byte(chance));
      const [sreg, sp] = [draw(chance, 256), RAM_FROM + 8 + draw(chance, SRAM_BYTES - 16)];
      const second = draw(chance, 2) === 0 ? draw(chance, RAM_FROM) : draw(chance, RAM_FROM + SRAM_BYTES);
      // Now and then the end of the program: the counter begins anew.
      const pc = draw(chance, 16) === 0 ? PROGRAM_WORDS - (hasTwoWords(word) ? 2 : 1) : AT;
      for (const { cpu, asked } of [own, other]) {
        cpu.data.set(registers);
        cpu.data[95] = sreg;
        cpu.SP = sp;
        cpu.progMem[pc] = word;
        if (pc + 1 < PROGRAM_WORDS) cpu.progMem[pc + 1] = second;
        cpu.pc = pc;
        cpu.cycles = 5_000_000_000 + time;
        asked.length = 0;
      }
      instruction(own.cpu, word, sort);
      avrInstruction(other.cpu);
      const same =
        own.cpu.pc === other.cpu.pc &&
        own.cpu.cycles === other.cpu.cycles &&
        Buffer.compare(own.cpu.data, other.cpu.data) === 0 &&
        own.asked.join() === other.asked.join();
      if (!same) differing.push(`${word.toString(16)} ${registers} ${sreg}`);
    }
  }
  expect(differing.slice(0, 20)).toEqual([]);
  expect(quick).toBeGreaterThan(10_000);
});

it('leaves sleep, spm, sei, reti and a write to SREG to the machine', () => {
  const special = [...SORTS.keys()].filter((word) => SORTS[word] === SPECIAL);
  const outs = Array.from({ length: 32 }, (_, register) => 0xbe0f | (register << 4));
  expect(special).toEqual([0x9478, 0x9518, 0x9588, 0x95e8, ...outs].sort((a, b) => a - b));
});
