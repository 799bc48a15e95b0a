/** The fuse bytes in the boards' documents, against the bits of avr-libc's header and what boards come with. */

import { readFileSync } from 'node:fs';
import { expect, it } from 'vitest';
import { sure } from '../../shared/assert.ts';
import { BOARDS } from '../support/boards.ts';
import { needs } from '../support/needs.ts';

const HEADER = '/usr/lib/avr/include/avr/iom328p.h';
const BOARDS_TXT = '/usr/share/arduino/hardware/arduino/avr/boards.txt';

/** The place of a fuse's bit in its byte, by avr-libc. */
function bitOf(name: string): number {
  const found = new RegExp(`FUSE_${name}\\s.*_BV\\((\\d)\\)`).exec(readFileSync(HEADER, 'utf8'));
  return Number(sure(found?.[1]));
}

/** The bytes of a row of the table: as boards come, and for this firmware. */
function row(text: string, byte: string): { comes: number[]; ours: number[] } {
  const line = sure(text.split('\n').find((one) => one.startsWith(`| ${byte} |`)));
  const [, , comes = '', ours = ''] = line.split('|');
  const bytes = (cell: string) => (cell.match(/0x[0-9A-F]{2}/g) ?? []).map(Number);
  return { comes: bytes(comes), ours: bytes(ours) };
}

/** What boards with such a chip come with, by Debian's `boards.txt`. */
function listed(byte: string): Set<number> {
  const fits = `^(?:uno|nano\\.menu\\.cpu\\.atmega328(?:old)?)\\.bootloader\\.${byte}_fuses=(\\w+)`;
  const found = readFileSync(BOARDS_TXT, 'utf8').matchAll(new RegExp(fits, 'gm'));
  return new Set([...found].map(([, value]) => Number(value)));
}

needs(['avr-gcc', 'arduino-core-avr'], 'the fuses', () => {
  it.each(Object.keys(BOARDS))(
    'of %s are the documented ones with EESAVE and the higher brown-out level',
    (id) => {
      const text = readFileSync(new URL(`../../boards/${id}/README.md`, import.meta.url), 'utf8');
      const [low, high, extended] = ['low', 'high', 'extended'].map((byte) => row(text, byte));
      for (const [byte, { comes }] of [
        ['low', sure(low)],
        ['high', sure(high)],
        ['extended', sure(extended)],
      ] as const)
        expect(new Set(comes)).toEqual(listed(byte));
      expect(sure(low).ours).toEqual(sure(low).comes);
      expect(bitOf('EESAVE')).toBe(3);
      expect(sure(high).ours).toEqual(sure(high).comes.map((byte) => byte & ~(1 << bitOf('EESAVE'))));
      // BODLEVEL 101 to 100: its lowest bit and no other.
      expect([0, 1, 2].map((n) => bitOf(`BODLEVEL${n}`))).toEqual([0, 1, 2]);
      expect(sure(extended).ours).toEqual(
        sure(extended).comes.map((byte) => byte & ~(1 << bitOf('BODLEVEL0'))),
      );
      expect([bitOf('BOOTRST'), bitOf('BOOTSZ0'), bitOf('BOOTSZ1')]).toEqual([0, 1, 2]);
      expect([bitOf('CKSEL0'), bitOf('CKSEL3'), bitOf('SUT0'), bitOf('SUT1'), bitOf('CKDIV8')]).toEqual([
        0, 3, 4, 5, 7,
      ]);
    },
  );
});
