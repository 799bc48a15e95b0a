/**
 * The chip's EEPROM: a byte takes 3.4 ms to write, cannot be read meanwhile,
 * and tears when the power fails.
 *
 * Always holds: what a byte becomes is decided when its write ends, not when
 * it begins; a read or write while busy is counted as the program's mistake.
 */

import type { CPU } from 'avr8js';
import { itemAt } from '../../../shared/assert.ts';
import { enqueue, settle, writeEnd } from '../../world/memory.ts';
import type { World } from '../../world/world.ts';
import { INTERRUPT_AT, REG } from './registers.ts';

const EERE = 1;
const EEPE = 2;
const EEMPE = 4;
const EERIE = 8;
/** EEPE counts only within four cycles after EEMPE (data sheet). */
const MASTER_CYCLES = 4;
const CYCLES_PER_MICRO = 16;

export class Eeprom {
  /** Reads and writes while a write was under way. */
  mistakes = 0;
  private masterUntil = 0;
  private readonly ready;

  constructor(
    private readonly cpu: CPU,
    private readonly world: World,
    private readonly now: () => number,
  ) {
    this.ready = {
      address: INTERRUPT_AT.EE_READY,
      flagRegister: REG.EECR,
      flagMask: EEPE,
      enableRegister: REG.EECR,
      enableMask: EERIE,
      constant: true,
      inverseFlag: true,
    };
    cpu.writeHooks[REG.EECR] = (value) => this.control(value);
  }

  private get busy(): boolean {
    return (itemAt(this.cpu.data, REG.EECR) & EEPE) !== 0;
  }

  private control(value: number): boolean {
    const { cpu } = this;
    const address = (((itemAt(cpu.data, REG.EEARH) << 8) | itemAt(cpu.data, REG.EEARL)) & 0x3ff) >>> 0;
    cpu.data[REG.EECR] = (itemAt(cpu.data, REG.EECR) & EEPE) | (value & (EEMPE | EERIE));
    cpu.updateInterruptEnable(this.ready, value);
    if (value & EEPE && cpu.cycles < this.masterUntil && !this.busy) this.begin(address);
    else if (value & EEMPE) this.masterUntil = cpu.cycles + MASTER_CYCLES;
    if (value & EERE) this.read(address);
    return true;
  }

  private read(address: number): void {
    if (this.busy) this.mistakes++;
    this.cpu.data[REG.EEDR] = this.busy ? 0 : itemAt(this.world.eeprom.physical, address);
    this.cpu.cycles += 4; // the CPU halts for four cycles
  }

  private begin(address: number): void {
    const { cpu, world } = this;
    enqueue(world.eeprom, address, [itemAt(cpu.data, REG.EEDR)], this.now());
    cpu.data[REG.EECR] = (itemAt(cpu.data, REG.EECR) & ~EEMPE) | EEPE;
    cpu.clearInterrupt(this.ready, false);
    cpu.cycles += 2; // the CPU halts for two cycles
    this.wait();
  }

  private wait(): void {
    const left = writeEnd(this.world.eeprom) - this.now();
    this.cpu.addClockEvent(this.ended, Math.ceil(left * CYCLES_PER_MICRO));
  }

  private readonly ended = (): void => {
    settle(this.world.eeprom, this.now());
    if (this.world.eeprom.queue.length > 0) this.wait();
    else this.cpu.setInterruptFlag(this.ready);
  };

  /** After a reset: a write under way goes on (data sheet), the program has to wait for it. */
  reset(): void {
    this.masterUntil = 0;
    if (this.world.eeprom.queue.length === 0) return;
    this.cpu.data[REG.EECR] = EEPE;
    this.wait();
  }
}
