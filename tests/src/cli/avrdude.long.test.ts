/**
 * `avrdude`, which others load firmware with, through the real boot loaders on
 * the emulated chip: it writes and verifies, and `leanward install` leaves the
 * same flash.
 */

import { execFile } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { promisify } from 'node:util';
import { expect, it } from 'vitest';
import { Happenings } from '../../../firmware-sim/happenings.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { install } from '../../../src/jobs/install.ts';
import { serveWorld } from '../../../src/virtual/server.ts';
import {
  chipBehind,
  LOADER_NAMES,
  LOADER_NEEDS,
  LOADERS,
} from '../../firmware-sim/chips/atmega328p/loaders.ts';
import { DAILY, status } from '../../firmware-sim/controller/host.ts';
import { needs } from '../../support/needs.ts';
import { ERASED, NOON, portTo } from './loader-port.ts';

const TABLE = encodeTable(DAILY).bytes;
const BOARD = 'mega328-relay8';
const HEX = fileURLToPath(new URL(`../../../boards/${BOARD}/firmware.hex`, import.meta.url));
/**
 * How fast the chip's time goes beside this computer's. A loader waits a second for its host, and avrdude
 * a quarter for an answer to its first words: a computer too busy for the first is asked again for less.
 */
const SPEEDS = [0.5, 0.2, 0.05];

/** A chip behind the loader that avrdude has written, and what avrdude said. */
async function writtenByAvrdude(name: (typeof LOADER_NAMES)[number], speed: number) {
  const device = chipBehind(name, { hex: ERASED, utc: NOON, table: TABLE });
  device.hostBaud = LOADERS[name].baud;
  device.run(device.micros + 200_000);
  const serving = await serveWorld(new Happenings(device), { tcp: 0, speed, save: () => undefined });
  try {
    const place = ['-P', `net:127.0.0.1:${serving.port}`, '-b', String(LOADERS[name].baud)];
    const work = ['-D', '-U', `flash:w:${HEX}:i`];
    const { stderr } = await promisify(execFile)('avrdude', [
      '-c',
      'arduino',
      '-p',
      'm328p',
      ...place,
      ...work,
    ]);
    return { device, stderr };
  } finally {
    serving.stop();
  }
}

/** The same at the first speed at which avrdude ends well; its last failure where there is none. */
async function written(name: (typeof LOADER_NAMES)[number]) {
  let failure: unknown;
  for (const speed of SPEEDS) {
    try {
      return await writtenByAvrdude(name, speed);
    } catch (error) {
      failure = error;
    }
  }
  throw failure;
}

needs([...LOADER_NEEDS, 'avrdude'], 'avrdude', () => {
  it.each(LOADER_NAMES)('writes and verifies through the loader of %s, as install does', async (name) => {
    const { device, stderr } = await written(name);
    expect(stderr).toMatch(/device signature = 0x1e950f/i);
    expect(stderr).toMatch(/bytes of flash verified/);
    const byAvrdude = device.machine.cpu.progMem.slice();
    const other = chipBehind(name, { hex: ERASED, utc: utcSeconds(NOON), table: TABLE });
    await install(portTo(other), 1, BOARD);
    expect(
      Buffer.compare(Buffer.from(byAvrdude.buffer), Buffer.from(other.machine.cpu.progMem.slice().buffer)),
    ).toBe(0);
    // And the board that avrdude left runs.
    device.hostBaud = 38_400;
    device.openPort();
    device.run(device.micros + 15_000_000);
    expect(status(device)[0]).toBeGreaterThan(0);
    expect([...device.levels]).toEqual(Array(8).fill(255));
  });
});
