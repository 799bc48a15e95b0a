/**
 * Every way a board comes to restart, behind the bootloaders that boards come
 * with, run in front of the real image: the program is reached, the cause is
 * right as far as the loader lets it be known, the lamps are back in time.
 */

import { expect, it } from 'vitest';
import { RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { REG } from '../../../../firmware-sim/chips/atmega328p/registers.ts';
import { BOOT_CAUSE, type LogRecord } from '../../../../shared/log.ts';
import { STATUS } from '../../../../shared/registers.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { needs } from '../../../support/needs.ts';
import { DAILY, records, START, status, write } from '../../controller/host.ts';
import { chip } from './chip.ts';
import { BACK, CASES, HANG, hang, restartBehind } from './loader-resets.ts';
import { chipBehind, LOADER_NAMES, LOADER_NEEDS } from './loaders.ts';

const SECOND = 1_000_000;
const NOON = START + 12 * 3600;
const SREG = 95;
const INTERRUPTS_ON = 0x80;
const { external, watchdog } = BOOT_CAUSE;
const isBoot = (record: LogRecord): boolean => record.type === 'boot';

needs(LOADER_NEEDS, 'a loader in front of the image', () => {
  it.each(CASES)('%s, %s: running, cause right, lamps back', (name, reset) => {
    const { dark, seconds, most, cause, causeWanted, told, toldWanted } = restartBehind(name, reset);
    expect(dark).toBe(true);
    expect(seconds).toBeLessThanOrEqual(most);
    expect({ cause, told }).toEqual({ cause: causeWanted, told: toldWanted });
  });

  it.each(LOADER_NAMES)(
    '%s: opening the port, at any moment, keeps hand switching and tells no start',
    (name) => {
      const device = chipBehind(name, { utc: utcSeconds(START + 2 * 3600) });
      device.run(10 * SECOND);
      write(device, 0x0150, [700]);
      const boots = records(device).filter(isBoot).length;
      device.receive(Uint8Array.of(1, 5, 0, 2, 0xff, 0, 0x2d, 0xfa));
      device.run(device.micros + SECOND);
      for (let opened = 0; opened < 4; opened++) {
        device.run(device.micros + (4 + opened * 0.2373) * SECOND);
        device.openPort();
      }
      device.run(device.micros + 14 * SECOND);
      expect(device.levels[2]).toBe(255);
      expect(records(device).filter(isBoot).length).toBe(boots);
    },
  );
});

it('a hang with interrupts off ends by the hardware, where no loader stands in the way', () => {
  const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  device.run(15 * SECOND);
  hang(device);
  const { data } = device.machine.cpu;
  data[SREG] = (data[SREG] ?? 0) & ~INTERRUPTS_ON;
  device.run(device.micros + (2 * HANG + BACK) * SECOND);
  expect([...device.levels]).toEqual(Array(8).fill(255));
  expect(status(device)[STATUS.bootCause]).toBe(watchdog);
});

it('a wrong cause that a loader leaves in a register counts for nothing', () => {
  const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  device.run(15 * SECOND);
  for (const left of Object.values(RESET_FLAG)) {
    device.openPort();
    device.run(device.micros + 1.0655 * SECOND - 1);
    device.machine.cpu.data[2] = left;
    device.run(device.micros + 12 * SECOND);
    expect(status(device)[STATUS.bootCause]).toBe(external);
  }
  expect(records(device).filter(isBoot).length).toBe(1);
});

it('the pins are driven off before the memory test', () => {
  const device = chip({ utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  device.run(15 * SECOND);
  device.resetNow(RESET_FLAG.external);
  // The test of 2 KB takes 5 ms; the pins 40 instructions or so.
  device.run(device.micros + 20);
  const { data } = device.machine.cpu;
  const { DDRB, PORTB, DDRC, PORTC, DDRD, PORTD } = REG;
  expect([data[DDRD], data[PORTD]].map((byte) => (byte ?? 0) & 0xf0)).toEqual([0xf0, 0xf0]);
  expect([data[DDRB], data[PORTB]].map((byte) => (byte ?? 0) & 3)).toEqual([3, 3]);
  expect([data[DDRC], data[PORTC]].map((byte) => (byte ?? 0) & 3)).toEqual([3, 3]);
});
