/**
 * `install` against the bootloaders that boards come with, run in front of an
 * erased chip: the same flash as the image, read back; the table is kept.
 */

import { expect, it } from 'vitest';
import type { ChipDevice } from '../../../firmware-sim/chips/atmega328p/chip-device.ts';
import { readHex } from '../../../firmware-sim/chips/atmega328p/hex.ts';
import { FIRMWARE_REVISION } from '../../../shared/registers.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import { offerFirmware } from '../../../src/jobs/flash/newer-firmware.ts';
import { install } from '../../../src/jobs/install.ts';
import { Controller } from '../../../src/link/controller.ts';
import { chip, image } from '../../firmware-sim/chips/atmega328p/chip.ts';
import {
  chipBehind,
  LOADER_NAMES,
  LOADER_NEEDS,
  LOADERS,
} from '../../firmware-sim/chips/atmega328p/loaders.ts';
import { DAILY } from '../../firmware-sim/controller/host.ts';
import { needs } from '../../support/needs.ts';
import { ERASED, NOON, portTo } from './loader-port.ts';

const TABLE = encodeTable(DAILY).bytes;

/** The words of the flash that the image sets. */
function installed(device: ChipDevice, id: string): boolean {
  const words = readHex(image(id));
  const used = words.findLastIndex((word) => word !== 0xffff) + 1;
  return words.subarray(0, used).every((word, at) => device.machine.cpu.progMem[at] === word);
}

needs(LOADER_NEEDS, 'install', () => {
  it.each(LOADER_NAMES)('through the loader of %s writes the image and keeps the table', async (name) => {
    const device = chipBehind(name, { hex: ERASED, utc: NOON, table: TABLE });
    const done = await install(portTo(device), 1, 'mega328-relay8');
    expect(done).toMatchObject({
      board: 'mega328-relay8',
      loader: { baud: LOADERS[name].baud },
      table: true,
    });
    expect(installed(device, 'mega328-relay8')).toBe(true);
  });

  it('is offered by a flash where the board runs older firmware, and only then', async () => {
    const name = '512 bytes at 115,200 baud, version 4.4';
    const device = chipBehind(name, { utc: NOON, table: TABLE });
    const { progMem } = device.machine.cpu;
    const bytes = new Uint8Array(progMem.buffer, progMem.byteOffset, progMem.byteLength);
    const text = Buffer.from(`Leanward\0${FIRMWARE_REVISION}`);
    const at = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length).indexOf(text);
    bytes.set(Buffer.from('1.0'), at + 'Leanward\0'.length);
    const port = portTo(device);
    const questions: string[] = [];
    const answers = [false, true];
    for (const done of [undefined, ...answers]) {
      const controller = await Controller.open(port, 1);
      expect(controller.revision).toBe('1.0');
      const ask = async (question: string) => {
        questions.push(question);
        return done === true;
      };
      expect(await offerFirmware(controller, port, done === undefined ? undefined : ask)).toBe(done === true);
      if (!done) await controller.close();
    }
    expect(questions).toHaveLength(2);
    expect(questions[0]).toMatch(/runs firmware 1\.0; this Leanward brings/);
    const renewed = await Controller.open(port, 1);
    expect(renewed.revision).toBe(FIRMWARE_REVISION);
    expect((await renewed.status()).running).toBeDefined();
    expect(await offerFirmware(renewed, port, () => Promise.reject(new Error('asked again')))).toBe(false);
    await renewed.close();
  });

  it('asks which board it is when no firmware answers, and knows it when one does', async () => {
    const name = '512 bytes at 115,200 baud, version 4.4';
    const bare = chipBehind(name, { hex: ERASED, utc: NOON });
    await expect(install(portTo(bare), 1, undefined)).rejects.toThrow(/so say which board it is/);
    const known = chipBehind(name, { id: 'mega328-dim6', utc: NOON });
    expect(await install(portTo(known), 1, undefined)).toMatchObject({ board: 'mega328-dim6', table: false });
  });

  it('refuses another chip before anything is written', async () => {
    const name = '512 bytes at 115,200 baud, version 4.4';
    const device = chipBehind(name, { hex: ERASED, utc: NOON });
    const { progMem } = device.machine.cpu;
    // The loader tells the signature that it was built with: `ldi r24, 0x0F` becomes 0x16, a 328PB's.
    const at = progMem.findIndex((word, index) => word === 0xe08f && (progMem[index - 2] ?? 0) === 0xe985);
    expect(at).toBeGreaterThan(0);
    progMem[at] = 0xe186;
    await expect(install(portTo(device), 1, 'mega328-relay8')).rejects.toThrow(
      /ATmega328PB.*Nothing was written/,
    );
    expect(progMem[0]).toBe(0xffff);
  });
});

it('says so when no loader answers', async () => {
  const device = chip({ utc: NOON });
  await expect(install(portTo(device), 1, 'mega328-relay8')).rejects.toThrow(/No boot loader answers/);
});
