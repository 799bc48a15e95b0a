/**
 * What the machine code does when the world or itself goes wrong: hang, stuck
 * bus, silent tick, damaged flash and memory.
 */

import { describe, expect, it } from 'vitest';
import { itemAt } from '../../../../shared/assert.ts';
import { FAULT } from '../../../../shared/log.ts';
import { STATUS } from '../../../../shared/registers.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { DAILY, recordNames, records, START, status } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const NOON = START + 12 * 3600;
/** `rjmp .-2` (instruction set manual): a program that hangs. */
const HANG = 0xcfff;

function lit() {
  const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  device.run(20.5 * SECOND);
  expect([...device.levels]).toEqual(Array(8).fill(255));
  return device;
}

const hasFault = (registers: number[], fault: number): boolean =>
  (itemAt(registers, STATUS.faults) & (1 << (fault - 1))) !== 0;

describe('the chip', () => {
  it('that hangs goes dark within two seconds, restarts and says why', () => {
    const device = lit();
    const { cpu } = device.machine;
    const at = cpu.pc;
    const was = itemAt(cpu.progMem, at);
    cpu.progMem[at] = HANG;
    device.run(device.micros + 2.1 * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(0));
    cpu.progMem[at] = was;
    device.run(device.micros + 2 * SECOND + 0.3 * SECOND);
    device.run(device.micros + 12 * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    const boots = records(device).filter(({ type }) => type === 'boot');
    expect(boots.map((boot) => (boot.type === 'boot' ? boot.cause : 0))).toEqual([1, 3]);
  });

  it('keeps its lamps and its time when the bus is stuck, says so within two seconds, and logs it after', () => {
    const device = lit();
    device.run(40.4 * SECOND);
    device.setTrouble('bus held', true);
    device.run(42.4 * SECOND);
    expect(hasFault(status(device), FAULT.clockMissing)).toBe(true);
    device.run(62.5 * SECOND);
    const registers = status(device);
    expect(hasFault(registers, FAULT.clockMissing)).toBe(true);
    expect(registers[STATUS.timeFlags]).toBe(3);
    expect(registers[STATUS.seconds + 1]).toBe((NOON + 62) % 65_536);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    expect(hasFault(registers, FAULT.logMissing)).toBe(true);
    device.setTrouble('bus held', false);
    device.run(182.5 * SECOND);
    expect(hasFault(status(device), FAULT.clockMissing)).toBe(false);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    // While the bus was held nothing could be logged; what was entered then is told when it is left.
    expect(recordNames(device)).toEqual(['boot', 'fault-5', 'fault-1', 'fault-2']);
    const told = records(device).filter(({ type }) => type === 'fault');
    expect(told.map((one) => (one.type === 'fault' ? one.detail - NOON : 0))).toEqual([59, 40, 40]);
  });

  it('reads the time from the clock when the one-second line stops, within two seconds', () => {
    const device = lit();
    device.setTrouble('tick silent', true);
    device.run(device.micros + 2.6 * SECOND);
    expect(hasFault(status(device), FAULT.tickLost)).toBe(true);
    device.run(40.9 * SECOND);
    expect(status(device)[STATUS.seconds + 1]).toBe((NOON + 40) % 65_536);
    device.setTrouble('tick silent', false);
    device.run(45.5 * SECOND);
    expect(hasFault(status(device), FAULT.tickLost)).toBe(false);
    expect(recordNames(device)).toEqual(['boot', 'fault+3', 'fault-3']);
  });

  it('finds a byte of flash that changed', () => {
    const device = lit();
    device.machine.cpu.progMem[100] = itemAt(device.machine.cpu.progMem, 100) ^ 0x0100;
    device.run(device.micros + 5 * 3600 * SECOND);
    expect(hasFault(status(device), FAULT.flash)).toBe(true);
    expect(recordNames(device)).toContain('fault+11');
  });

  it('finds its stack guard overwritten', () => {
    const device = lit();
    const { data } = device.machine.cpu;
    const guard = findGuard(data);
    data[guard + 3] = 0;
    device.run(device.micros + 10 * SECOND);
    expect(hasFault(status(device), FAULT.stack)).toBe(true);
  });

  it('starts with time unknown and all off when its clock was never set', () => {
    const device = chip({ clockRight: false, table: encodeTable(DAILY).bytes });
    device.run(20 * SECOND);
    expect(itemAt(status(device), STATUS.timeFlags) & 1).toBe(0);
    expect([...device.levels]).toEqual(Array(8).fill(0));
    expect(recordNames(device)).toEqual(['boot', 'fault+1']);
  });

  it('has no probe: three minutes later that is a fault, and nothing else changes', () => {
    const device = chip({ probe: undefined, utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
    device.run(200.5 * SECOND);
    expect(hasFault(status(device), FAULT.probeMissing)).toBe(true);
    expect(status(device)[STATUS.temperature]).toBe(0x8000);
    expect([...device.levels]).toEqual(Array(8).fill(255));
  });
});

/** Eight guard bytes in a row. */
function findGuard(data: Uint8Array): number {
  for (let at = 0x100; at < data.length - 8; at++) {
    if (data.subarray(at, at + 8).every((byte) => byte === 0xc5)) return at;
  }
  throw new Error('no stack guard');
}
