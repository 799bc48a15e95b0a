/**
 * Bootloaders in the field, as Debian's `arduino-core-avr` has them, and a chip
 * that starts through one.
 *
 * Always holds: nothing of them is kept in the project. The 512-byte one is
 * built here from Debian's source: the image beside it came out 20 bytes too
 * long for its section, from a compiler newer than its author's.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import type { ChipDevice, ChipDeviceOptions } from '../../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { sure } from '../../../../shared/assert.ts';
import { chip } from './chip.ts';

const FOLDER = '/usr/share/arduino/hardware/arduino/avr/bootloaders';
/** What its own Makefile says for this chip, and one flag that brings it under 512 bytes. */
const BUILD = (
  '-g -Os -fno-inline-small-functions -fno-split-wide-types -fno-tree-scev-cprop -fno-move-loop-invariants ' +
  '-mmcu=atmega328p -DF_CPU=16000000L -DLED_START_FLASHES=3 -DBAUD_RATE=115200 ' +
  '-Wl,--section-start=.text=0x7e00 -Wl,--section-start=.version=0x7ffe -Wl,--relax -nostartfiles -nostdlib'
).split(' ');

function built512(): string {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-loader-'));
  try {
    const [elf, hex] = [join(folder, 'loader.elf'), join(folder, 'loader.hex')];
    execFileSync('avr-gcc', [...BUILD, `${FOLDER}/optiboot/optiboot.c`, '-o', elf], { stdio: 'pipe' });
    execFileSync('avr-objcopy', ['-O', 'ihex', elf, hex]);
    return readFileSync(hex, 'utf8');
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A bootloader: its image, Intel HEX, and the speed it speaks. */
interface Loader {
  readonly baud: number;
  readonly image: () => string;
}

/** By the names that the boards' documents use. */
export const LOADERS = {
  '2 KB at 57,600 baud': {
    baud: 57_600,
    image: () => readFileSync(`${FOLDER}/atmega/ATmegaBOOT_168_atmega328.hex`, 'utf8'),
  },
  '512 bytes at 115,200 baud, version 4.4': { baud: 115_200, image: built512 },
} as const satisfies Record<string, Loader>;

export type LoaderName = keyof typeof LOADERS;
export const LOADER_NAMES = Object.keys(LOADERS) as LoaderName[];

/** What must be installed for them. */
export const LOADER_NEEDS = ['avr-gcc', 'avr-objcopy', 'arduino-core-avr'];

const images = new Map<LoaderName, string>();

/** The image of a loader, Intel HEX. */
export function loaderImage(name: LoaderName): string {
  if (!images.has(name)) images.set(name, LOADERS[name].image());
  return sure(images.get(name));
}

/** A chip with the power on that starts through a bootloader. */
export function chipBehind(
  name: LoaderName,
  options: Partial<ChipDeviceOptions> & { id?: string } = {},
): ChipDevice {
  return chip({ ...options, loader: loaderImage(name) });
}
