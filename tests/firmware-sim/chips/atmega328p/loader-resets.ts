/**
 * Every way a board comes to restart, behind the bootloaders that boards come
 * with, and what it shows for it: for the long tests and the bench.
 *
 * Always holds: all eight lamps are lit before and wanted after.
 */

import type { ChipDevice } from '../../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { RESET_FLAG } from '../../../../firmware-sim/chips/atmega328p/machine.ts';
import { sure } from '../../../../shared/assert.ts';
import { BOOT_CAUSE } from '../../../../shared/log.ts';
import { STATUS } from '../../../../shared/registers.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { DAILY, records, START, status } from '../../controller/host.ts';
import { chipBehind, LOADER_NAMES, type LoaderName } from './loaders.ts';

const SECOND = 1_000_000;
const NOON = START + 12 * 3600;
const RJMP_HERE = 0xcfff;
/** From the program's start to output 8: the wait, the stagger, and up to a second until the clock's. */
export const BACK = 3 + 7;
/** What a loader listens for before it starts the program (its documents), and the chip's own delay. */
const LISTENS: Readonly<Record<LoaderName, number>> = {
  '2 KB at 57,600 baud': 1.6,
  '512 bytes at 115,200 baud, version 4.4': 1.4,
};
/** From the hang to the watchdog's interrupt. */
export const HANG = 2.3;

function lose(device: ChipDevice): void {
  device.machine.cpu.data.fill(0x33, 0x100);
}

/** The program stands still in a loop, as if it had hung. */
export function hang({ machine }: ChipDevice): void {
  const { cpu } = machine;
  // The last word before the smallest loader's section is free in every image.
  cpu.pc = 0x3bff;
  cpu.progMem[cpu.pc] = RJMP_HERE;
  machine.sleeping = false;
}

export type Reset = 'power' | 'port opened' | 'brown-out' | 'brown-out that lost memory' | 'hang';

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

/** Every loader with every reset. */
export const CASES: readonly (readonly [LoaderName, Reset])[] = LOADER_NAMES.flatMap((name) =>
  (Object.keys(RESETS) as Reset[]).map((reset) => [name, reset] as const),
);

export interface Restarted {
  /** All lamps were dark right after it. */
  readonly dark: boolean;
  /** Seconds until all were lit again, and the most it may take; Infinity: they were not. */
  readonly seconds: number;
  readonly most: number;
  readonly cause: number;
  readonly causeWanted: number;
  /** Starts that the log tells of it. */
  readonly told: number;
  readonly toldWanted: number;
}

/** Restarts a chip behind a loader. */
export function restartBehind(name: LoaderName, reset: Reset): Restarted {
  const device = chipBehind(name, { utc: utcSeconds(NOON), table: encodeTable(DAILY).bytes });
  const boots = (): number => records(device).filter(({ type }) => type === 'boot').length;
  const lit = (): number => device.levels.filter((level) => level !== 0).length;
  device.run(15 * SECOND);
  if (lit() !== 8) throw new Error('not lit before');
  const before = boots();
  RESETS[reset](device);
  const began = device.micros;
  const hung = reset === 'hang' ? HANG : 0;
  device.run(began + (hung + 0.05) * SECOND);
  const dark = lit() === 0;
  const most = LISTENS[name] + hung + BACK;
  const step = 0.05 * SECOND;
  while (lit() < 8 && device.micros < began + most * SECOND) device.run(device.micros + step);
  const seconds = lit() === 8 ? (device.micros - began) / SECOND : Number.POSITIVE_INFINITY;
  device.run(began + most * SECOND);
  const causeWanted = sure(CAUSES[reset][LOADER_NAMES.indexOf(name)]);
  const cause = status(device)[STATUS.bootCause] ?? 0;
  const toldWanted = causeWanted === external ? 0 : 1;
  return { dark, seconds, most, cause, causeWanted, told: boots() - before, toldWanted };
}
