/**
 * Program memory that the program writes itself, as bootloaders do: a page's
 * buffer, erase and write (data sheet, "Self-programming the flash").
 *
 * Always holds: a page is 128 bytes; a write only clears bits, so a page is
 * erased first; erase and write take their time, and the flag shows it.
 */

import type { CPU } from 'avr8js';
import { itemAt } from '../../../shared/assert.ts';
import { REG } from './registers.ts';

const PAGE_WORDS = 64;
const SPMEN = 0x01;
const PGERS = 0x02;
const PGWRT = 0x04;
const RWWSRE = 0x10;
const RWWSB = 0x40;
/** 3.7 to 4.5 ms at 16 MHz. */
const BUSY_CYCLES = 64_000;
const Z = 30;

export class Flash {
  private readonly buffer = new Uint16Array(PAGE_WORDS).fill(0xffff);

  constructor(private readonly cpu: CPU) {}

  private readonly done = (): void => {
    const { data } = this.cpu;
    data[REG.SPMCSR] = itemAt(data, REG.SPMCSR) & RWWSB;
  };

  /** The instruction *spm*: what the control register asks for, at the address in Z. */
  store(): void {
    const { cpu, buffer } = this;
    const { data } = cpu;
    const control = itemAt(data, REG.SPMCSR);
    if ((control & SPMEN) === 0) return;
    const address = itemAt(data, Z) | (itemAt(data, Z + 1) << 8);
    const page = (address >> 1) & ~(PAGE_WORDS - 1);
    if (control & PGERS) {
      cpu.progMem.fill(0xffff, page, page + PAGE_WORDS);
      this.begin();
    } else if (control & PGWRT) {
      buffer.forEach((word, at) => {
        cpu.progMem[page + at] = itemAt(cpu.progMem, page + at) & word;
      });
      buffer.fill(0xffff);
      this.begin();
    } else if (control & RWWSRE) data[REG.SPMCSR] = 0;
    else {
      buffer[(address >> 1) & (PAGE_WORDS - 1)] = itemAt(data, 0) | (itemAt(data, 1) << 8);
      data[REG.SPMCSR] = control & RWWSB;
    }
  }

  private begin(): void {
    this.cpu.data[REG.SPMCSR] = SPMEN | RWWSB;
    this.cpu.addClockEvent(this.done, BUSY_CYCLES);
  }
}
