/**
 * One instruction of the program. Those that run most often are found by one
 * look-up; avr8js, which does the others, tries its hundred patterns in turn.
 *
 * Always holds: each does to memory, hooks, program counter and cycles exactly
 * what avr8js does; a test holds every instruction word to it. Names and codes:
 * AVR instruction set manual.
 */

import { avrInstruction, type CPU } from 'avr8js';

const OTHER = 0;
const PUSH = 1;
const POP = 2;
const LDS = 3;
const STS = 4;
const IN = 5;
const OUT = 6;
const RJMP = 7;
const RET = 8;
const LDI = 9;
const MOV = 10;
const MOVW = 11;
const EOR = 12;
const DEC = 13;
const LSR = 14;
const BRBC = 15;
const BRBS = 16;
const JMP = 17;
const WDR = 18;
const CALL = 19;
const CP = 20;
const CPC = 21;
const AND = 22;
/** Sorts from here on are not for `instruction` alone: sleep, store to flash, and what holds interrupts back for one more. */
export const SPECIAL = 23;

/** Sorts by the bits of a word that tell them: mask, bits. */
const PATTERNS: readonly (readonly [sort: number, mask: number, bits: number])[] = [
  [PUSH, 0xfe0f, 0x920f],
  [POP, 0xfe0f, 0x900f],
  [LDS, 0xfe0f, 0x9000],
  [STS, 0xfe0f, 0x9200],
  // `out SREG, r`: which register does not matter.
  [SPECIAL, 0xfe0f, 0xbe0f],
  [IN, 0xf800, 0xb000],
  [OUT, 0xf800, 0xb800],
  [RJMP, 0xf000, 0xc000],
  [RET, 0xffff, 0x9508],
  [LDI, 0xf000, 0xe000],
  [MOV, 0xfc00, 0x2c00],
  [MOVW, 0xff00, 0x0100],
  [EOR, 0xfc00, 0x2400],
  [DEC, 0xfe0f, 0x940a],
  [LSR, 0xfe0f, 0x9406],
  [BRBC, 0xfc00, 0xf400],
  [BRBS, 0xfc00, 0xf000],
  [JMP, 0xfe0e, 0x940c],
  [WDR, 0xffff, 0x95a8],
  [CALL, 0xfe0e, 0x940e],
  [CP, 0xfc00, 0x1400],
  [CPC, 0xfc00, 0x0400],
  [AND, 0xfc00, 0x2000],
  // sleep, spm, sei, reti
  ...[0x9588, 0x95e8, 0x9478, 0x9518].map((word) => [SPECIAL, 0xffff, word] as const),
];

/** The sort of every instruction word. */
export const SORTS = Uint8Array.from(
  { length: 0x10000 },
  (_, word) => PATTERNS.find(([, mask, bits]) => (word & mask) === bits)?.[0] ?? OTHER,
);

const SREG = 95;
const SP = 93;
const IO_FROM = 0x20;
/** Memory from here on has no hooks. */
const RAM_FROM = 0x100;

/** An address of `in` and `out`, among all data. */
const ioOf = (word: number): number => ((word & 0xf) | ((word & 0x600) >> 5)) + IO_FROM;

/** Sign and overflow together give S; beside it, Z and N of a result of eight bits. */
function withResult(sreg: number, result: number): number {
  const flags = sreg | (result === 0 ? 2 : 0) | (result & 0x80 ? 4 : 0);
  return flags | (((flags >> 2) ^ (flags >> 3)) & 1 ? 0x10 : 0);
}

/** Flags of `value - other` (less the carry), which gave `result`; `zero` is what Z becomes where that is 0. */
function withDifference(sreg: number, value: number, other: number, result: number, zero: number): number {
  const overflow = (value ^ other) & (value ^ result) & 0x80 ? 8 : 0;
  const flags = sreg | (result === 0 ? zero : 0) | (result & 0x80 ? 4 : 0) | overflow | (result < 0 ? 1 : 0);
  const half = (~value & other) | (other & result) | (result & ~value);
  return flags | (((flags >> 2) ^ (flags >> 3)) & 1 ? 0x10 : 0) | (half & 1 ? 0x20 : 0);
}

/** Where a jump or call of two words goes. */
function addressOf(cpu: CPU, word: number): number {
  return (cpu.progMem[cpu.pc + 1] ?? 0) | ((word & 1) << 16) | ((word & 0x1f0) << 13);
}

/** A branch with its seven bits of distance, taken. */
function branch(cpu: CPU, word: number): void {
  cpu.pc += ((word & 0x1f8) >> 3) - (word & 0x200 ? 0x40 : 0);
  cpu.cycles++;
}

/** Runs the instruction at the program counter, which is `word`, of that sort; not those of `SPECIAL`. */
export function instruction(cpu: CPU, word: number, sort: number): void {
  const { data } = cpu;
  // The five bits of a register that most words name, and the second of two.
  const d = (word & 0x1f0) >> 4;
  const r = (word & 0xf) | ((word & 0x200) >> 5);
  switch (sort) {
    case PUSH: {
      const to = cpu.dataView.getUint16(SP, true);
      data[to] = data[d] ?? 0;
      cpu.dataView.setUint16(SP, to - 1, true);
      cpu.cycles++;
      break;
    }
    case POP: {
      const from = cpu.dataView.getUint16(SP, true) + 1;
      cpu.dataView.setUint16(SP, from, true);
      data[d] = data[from] ?? 0;
      cpu.cycles++;
      break;
    }
    case LDS: {
      cpu.cycles++;
      const from = cpu.progMem[cpu.pc + 1] ?? 0;
      data[d] = from < RAM_FROM ? cpu.readData(from) : (data[from] ?? 0);
      cpu.pc++;
      break;
    }
    case STS: {
      const to = cpu.progMem[cpu.pc + 1] ?? 0;
      const value = data[d] ?? 0;
      if (to < RAM_FROM) cpu.writeData(to, value);
      else data[to] = value;
      cpu.pc++;
      cpu.cycles++;
      break;
    }
    case IN:
      data[d] = cpu.readData(ioOf(word));
      break;
    case OUT:
      cpu.writeData(ioOf(word), data[d] ?? 0);
      break;
    case RJMP:
      cpu.pc += (word & 0x7ff) - (word & 0x800);
      cpu.cycles++;
      break;
    case JMP:
      cpu.pc = addressOf(cpu, word) - 1;
      cpu.cycles += 2;
      break;
    case RET: {
      const top = cpu.dataView.getUint16(SP, true) + 2;
      cpu.dataView.setUint16(SP, top, true);
      cpu.pc = ((data[top - 1] ?? 0) << 8) + (data[top] ?? 0) - 1;
      cpu.cycles += 3;
      break;
    }
    case LDI:
      data[((word & 0xf0) >> 4) + 16] = (word & 0xf) | ((word & 0xf00) >> 4);
      break;
    case MOV:
      data[d] = data[r] ?? 0;
      break;
    case MOVW: {
      const to = (word & 0xf0) >> 3;
      const from = (word & 0xf) << 1;
      data[to] = data[from] ?? 0;
      data[to + 1] = data[from + 1] ?? 0;
      break;
    }
    case EOR: {
      const result = (data[d] ?? 0) ^ (data[r] ?? 0);
      data[d] = result;
      data[SREG] = withResult((data[SREG] ?? 0) & 0xe1, result);
      break;
    }
    case DEC: {
      const value = data[d] ?? 0;
      const result = (value - 1) & 0xff;
      data[d] = result;
      data[SREG] = withResult(((data[SREG] ?? 0) & 0xe1) | (value === 0x80 ? 8 : 0), result);
      break;
    }
    case LSR: {
      const value = data[d] ?? 0;
      const result = value >> 1;
      data[d] = result;
      // N is clear, so V is the carry.
      data[SREG] = withResult(((data[SREG] ?? 0) & 0xe0) | (value & 1 ? 9 : 0), result);
      break;
    }
    case BRBC:
      if (((data[SREG] ?? 0) & (1 << (word & 7))) === 0) branch(cpu, word);
      break;
    case BRBS:
      if (((data[SREG] ?? 0) & (1 << (word & 7))) !== 0) branch(cpu, word);
      break;
    case WDR:
      cpu.onWatchdogReset();
      break;
    case CALL: {
      const back = cpu.pc + 2;
      const sp = cpu.dataView.getUint16(SP, true);
      data[sp] = back & 0xff;
      data[sp - 1] = (back >> 8) & 0xff;
      cpu.dataView.setUint16(SP, sp - 2, true);
      cpu.pc = addressOf(cpu, word) - 1;
      cpu.cycles += 3;
      break;
    }
    case CP: {
      const value = data[d] ?? 0;
      const other = data[r] ?? 0;
      data[SREG] = withDifference((data[SREG] ?? 0) & 0xc0, value, other, value - other, 2);
      break;
    }
    case CPC: {
      const value = data[d] ?? 0;
      const other = data[r] ?? 0;
      const sreg = data[SREG] ?? 0;
      data[SREG] = withDifference(sreg & 0xc0, value, other, value - other - (sreg & 1), sreg & 2);
      break;
    }
    case AND: {
      const result = (data[d] ?? 0) & (data[r] ?? 0);
      data[d] = result;
      data[SREG] = withResult((data[SREG] ?? 0) & 0xe1, result);
      break;
    }
    default:
      avrInstruction(cpu);
      return;
  }
  const next = cpu.pc + 1;
  const { length } = cpu.progMem;
  cpu.pc = next >= 0 && next < length ? next : next % length;
  cpu.cycles++;
}
