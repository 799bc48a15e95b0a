/**
 * Every way a board comes to restart, behind the bootloaders that boards come
 * with, run in front of the real image: the program is reached, the cause is
 * right as far as the loader lets it be known, the lamps are back in time.
 */

import { expect, it } from 'vitest';
import type { ChipDevice } from '../../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { REG } from '../../../../firmware-sim/chips/atmega328p/registers.ts';
import { BOOT_CAUSE, type LogRecord } from '../../../../shared/log.ts';
import { STATUS } from '../../../../shared/registers.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { needs } from '../../../support/needs.ts';
import { DAILY, records, START, status, write } from '../../controller/host.ts';
import { chip } from './chip.ts';
import { chipBehind, LOADER_NAMES, LOADER_NEEDS, type LoaderName } from './loaders.ts';

const SECOND = 1_000_000;
const NOON = START + 12 * 3600;
const RJMP_HERE = 0xcfff;
const SREG = 95;
const INTERRUPTS_ON = 0x80;
/** From the program's start to output 8: the wait, the stagger, and up to a second until the clock's. */
const BACK = 3 + 7;
/** What a loader listens for before it starts the program (its documents), and the chip's own delay. */
const LISTENS: Readonly<Record<LoaderName, number>> = {
  '2 KB at 57,600 baud': 1.6,
  '512 bytes at 115,200 baud, version 4.4': 1.4,
};
/** From the hang to the watchdog's interrupt. */
const HANG = 2.3;

function lose(device: ChipDevice): void {
  device.machine.cpu.data.fill(0x33, 0x100);
}

/** The program stands still in a loop, as if it had hung. */
function hang({ machine }: ChipDevice): void {
  const { cpu } = machine;
  // The last word before the smallest loader's section is free in every image.
  cpu.pc = 0x3bff;
  cpu.progMem[cpu.pc] = RJMP_HERE;
  machine.sleeping = false;
}

type Reset = 'power' | 'port opened' | 'brown-out' | 'brown-out that lost memory' | 'hang';

const RESETS: Readonly<Record<Reset, (device: ChipDevice) => void>> = {
  power: (device) => {
    device.setPower(false);
    device.run(device.micros + SECOND);
    device.setPower(true);
  },
  'port opened': (device) => device.openPort(),
  'brown-out': (device) => device.resetNow(RESET_FLAG.brownOut),
  'brown-out that lost memory': (device) => {
    lose(device);
    device.resetNow(RESET_FLAG.brownOut);
  },
  hang,
};

const { powerOn, brownOut, external, watchdog } = BOOT_CAUSE;

/** Cause expected: the second loader clears the chip's own note, so what the memory tells is all there is. */
const CAUSES: Readonly<Record<Reset, readonly [number, number]>> = {
  power: [powerOn, powerOn],
  'port opened': [external, external],
  'brown-out': [brownOut, external],
  'brown-out that lost memory': [brownOut, powerOn],
  hang: [watchdog, watchdog],
};

const rows = LOADER_NAMES.flatMap((name, which) =>
  (Object.keys(RESETS) as Reset[]).map((reset) => [name, reset, CAUSES[reset][which] ?? 0] as const),
);

const isBoot = (record: LogRecord): boolean => record.type === 'boot';

needs(LOADER_NEEDS, 'a loader in front of the image', () => {
  it.each(rows)('%s, %s: running, lamps back', (name, reset, cause) => {
    const device = chipBehind(name, { utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
    device.run(15 * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    const boots = records(device).filter(isBoot).length;
    RESETS[reset](device);
    const began = device.micros;
    device.run(began + HANG * SECOND * (reset === 'hang' ? 1 : 0) + 0.05 * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(0));
    device.run(began + (LISTENS[name] + (reset === 'hang' ? HANG : 0) + BACK) * SECOND);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    expect(status(device)[STATUS.bootCause]).toBe(cause);
    const told = records(device).filter(isBoot).length - boots;
    expect(told).toBe(cause === external ? 0 : 1);
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
