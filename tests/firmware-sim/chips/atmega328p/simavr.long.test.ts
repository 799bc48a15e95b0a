/**
 * The committed images on simavr, an emulator by others: a day of the pantry,
 * and hours of tables that dim, with the same pin changes as on ours, to the second.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { fileURLToPath } from 'node:url';
import { afterAll, beforeAll, expect, it } from 'vitest';
import { compilePlan } from '../../../../compiler/compile.ts';
import { REG } from '../../../../firmware-sim/chips/atmega328p/registers.ts';
import { itemAt, sure } from '../../../../shared/assert.ts';
import type { Board } from '../../../../shared/board.ts';
import { dimChannel, portBit } from '../../../../shared/chips/atmega328p.ts';
import { dayFromIso } from '../../../../shared/civil.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS, samplePlan } from '../../../support/boards.ts';
import { needs } from '../../../support/needs.ts';
import { DAILY, DAY, START } from '../../controller/host.ts';
import { chip, image } from './chip.ts';

const SOURCE = fileURLToPath(new URL('simavr-day.c', import.meta.url));
const LIBRARIES = ['-I/usr/include/simavr', '-lsimavr', '-lsimavrparts', '-lelf', '-lm'];
/** From then on the outputs follow the table alone. */
const SETTLED = 20;
const SECOND = 1_000_000;
const HOUR = 3_600;

/** Registers of a compare channel: control, bit that connects the pin, compare (data sheet, register summary). */
const CHANNELS: Readonly<Record<string, readonly [number, number, number]>> = {
  '0A': [0x44, 0x80, 0x47],
  '0B': [0x44, 0x20, 0x48],
  '1A': [0x80, 0x80, 0x88],
  '1B': [0x80, 0x20, 0x8a],
  '2A': [0xb0, 0x80, 0xb3],
  '2B': [0xb0, 0x20, 0xb4],
};
const PORTS = { B: REG.PORTB, C: REG.PORTC, D: REG.PORTD };

/** An output as `simavr-day.c` takes it. */
function outputWord({ pin, kind, active }: Board['outputs'][number]): string {
  const { port, bit } = portBit(pin);
  const dims = kind === 'dim' ? dimChannel(pin) : undefined;
  const channel = dims ? sure(CHANNELS[`${dims.timer}${dims.channel}`]) : [];
  return [PORTS[port], bit, active === 'high' ? 1 : 0, ...channel].join(':');
}

/** Changes of the levels, second by second in its middle, from a settled start on. */
type Changes = [second: number, levels: string][];

function without(changes: Changes, from: number): Changes {
  let before = '';
  return changes.filter(([second, levels]) => {
    const changed = levels !== before;
    before = levels;
    return changed && second >= from;
  });
}

let folder: string;
const program = (): string => join(folder, 'simavr-day');

beforeAll(() => {
  folder = mkdtempSync(join(tmpdir(), 'leanward-simavr-'));
});
afterAll(() => rmSync(folder, { recursive: true, force: true }));

function onSimavr(id: string, eeprom: Uint8Array, begin: number, seconds: number): Changes {
  const [hex, memory] = [join(folder, 'image.hex'), join(folder, 'eeprom.bin')];
  writeFileSync(hex, image(id));
  writeFileSync(memory, eeprom);
  const outputs = sure(BOARDS[id]).outputs.map(outputWord);
  const text = execFileSync(program(), [hex, memory, String(begin), String(seconds), ...outputs], {
    encoding: 'utf8',
  });
  return text
    .trim()
    .split('\n')
    .map((line) => line.split(' '))
    .map(([second, levels]) => [Number(second), sure(levels)]);
}

function onOurs(id: string, table: Uint8Array, begin: number, seconds: number): [Changes, Uint8Array] {
  const device = chip({ id, utc: utcSeconds(begin), probe: undefined, table });
  const eeprom = device.memories.eeprom.slice();
  const changes: Changes = [];
  const count = sure(BOARDS[id]).outputs.length;
  device.onLevels = (_, levels) => {
    const second = begin + Math.floor(device.micros / SECOND + 0.5);
    const shown = Buffer.from(levels.subarray(0, count)).toString('hex');
    // Several changes before a second's middle are one to who looks then.
    if (changes.at(-1)?.[0] === second) changes.pop();
    changes.push([second, shown]);
  };
  device.run((seconds + 0.4) * SECOND);
  return [changes, eeprom];
}

const pantry = (): Uint8Array =>
  itemAt(compilePlan(samplePlan('pantry'), { boards: BOARDS }).tables, 0).encoded.bytes;

/** Six outputs, fifteen levels in two and a half hours. */
const dimmed = (): Uint8Array =>
  encodeTable({
    ...DAILY,
    patterns: [
      {
        start: 480,
        continuous: false,
        segments: Array.from({ length: 15 }, (_, hour) => ({ length: 10, level: 1 + ((hour * 7) % 16) })),
      },
    ],
    bindings: [{ ...itemAt(DAILY.bindings, 0), outputs: 0x3f }],
  }).bytes;

needs(['gcc', 'libsimavr-dev', 'libelf-dev'], 'a day on simavr', () => {
  beforeAll(() => {
    execFileSync('gcc', ['-O2', '-Wall', '-Werror', '-o', program(), SOURCE, ...LIBRARIES], {
      stdio: 'pipe',
    });
  });

  const busy = sure(dayFromIso('2026-05-20')) * DAY;
  // A quarter of an hour before the light of two and a half, and one after.
  const morning = START + 7.73 * HOUR;
  // Dimming keeps both emulators busy: hours are enough there.
  it.each([
    ['mega328-relay8', 'a day of the pantry', pantry, busy, DAY, 12],
    ['mega328-relay4-dim2', 'dimming', dimmed, morning, 3 * HOUR, 36],
    ['mega328-dim6', 'dimming', dimmed, morning, 3 * HOUR, 80],
  ] as const)('%s, %s: the same pin changes, to the second', (id, _, table, begin, seconds, least) => {
    const [changes, eeprom] = onOurs(id, table(), begin, seconds);
    const ours = without(changes, begin + SETTLED);
    const theirs = without(onSimavr(id, eeprom, begin, seconds), begin + SETTLED);
    expect(ours.length).toBeGreaterThanOrEqual(least);
    expect(theirs).toEqual(ours);
  });
});
