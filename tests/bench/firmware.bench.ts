/**
 * The firmware in figures: size, memory, cycles, the link, in emulated time on
 * the chip of the board with eight relays.
 */

import { execFileSync } from 'node:child_process';
import { mkdtempSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { compilePlan } from '../../compiler/compile.ts';
import type { ChipDevice } from '../../firmware-sim/chips/atmega328p/chip-device.ts';
import { readHex } from '../../firmware-sim/chips/atmega328p/hex.ts';
import { itemAt, sure } from '../../shared/assert.ts';
import { dayFromIso } from '../../shared/civil.ts';
import { crc16 } from '../../shared/crc.ts';
import { BLOCK_BYTES, LOG_BLOCKS } from '../../shared/registers.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { chip, image } from '../firmware-sim/chips/atmega328p/chip.ts';
import {
  ask,
  commit,
  confirm,
  DAILY,
  START,
  setClock,
  upload,
  write,
} from '../firmware-sim/controller/host.ts';
import { BOARDS, samplePlan } from '../support/boards.ts';
import { type Row, row } from './row.ts';

const SECOND = 1_000_000;
const FLASH_MOST = 26 * 1024;
const RAM_MOST = 1_100;
const SLOWEST_MOST = 55_000;
const MEAN_MOST = 2_300;
const OFF_MOST = 400;
const SHARE_LEAST = 85;
const RAM_END = 0x900;
const PAINT = 0x5a;
const MEASURED_SECONDS = 86_400;
/** Bytes a second at 38400 8N1. */
const LINE = 3_840;

const firmware = new URL('../../boards/firmware/', import.meta.url);

function pantry(): Uint8Array {
  return itemAt(compilePlan(samplePlan('pantry'), { boards: BOARDS }).tables, 0).encoded.bytes;
}

/** Static RAM in bytes as the linker laid it out, from avr-size over a fresh build; undefined without avr-gcc. */
function staticRam(id: string): number | undefined {
  const folder = mkdtempSync(join(tmpdir(), 'leanward-bench-'));
  try {
    const elf = join(folder, `${id}.elf`);
    execFileSync('make', ['-s', `OUT=${folder}`, elf], { cwd: firmware, stdio: 'pipe' });
    const [, line = ''] = execFileSync('avr-size', [elf], { encoding: 'utf8' }).split('\n');
    const [, data = 0, bss = 0] = line.trim().split(/\s+/).map(Number);
    return data + bss;
  } catch {
    return undefined;
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

function imageBytes(id: string): number {
  const flash = new Uint8Array(readHex(image(id)).buffer);
  return flash.findLastIndex((byte) => byte !== 0xff) + 1;
}

/** A chip on a busy day of the pantry plan, started. */
function busyChip(id?: string): ChipDevice {
  const utc = utcSeconds(sure(dayFromIso('2026-05-20')) * 86_400 + 17 * 3_600 + 55 * 60);
  const device = chip({ ...(id ? { id } : {}), utc, table: pantry() });
  device.run(12.5 * SECOND);
  return device;
}

interface Cycles {
  readonly slowest: number;
  readonly mean: number;
}

/** Active cycles a second over `seconds`. */
function cycles(device: ChipDevice, seconds: number): Cycles {
  let slowest = 0;
  const before = device.machine.activeCycles;
  for (let second = 0; second < seconds; second++) {
    const at = device.machine.activeCycles;
    device.run(device.micros + SECOND);
    slowest = Math.max(slowest, device.machine.activeCycles - at);
  }
  return { slowest, mean: (device.machine.activeCycles - before) / seconds };
}

/** Deepest use of the stack in bytes: memory is painted, then everything is asked for that a host can ask. */
function deepestStack(): number {
  const device = busyChip();
  const { data, SP } = device.machine.cpu;
  const painted = SP - 300;
  data.fill(PAINT, painted, SP - 1);
  device.setButton(true);
  device.run(device.micros + 0.3 * SECOND);
  device.setButton(false);
  const { bytes } = encodeTable(DAILY);
  const session = upload(device, bytes);
  commit(device, session, bytes);
  confirm(device, session, bytes);
  write(device, 0x0160, [1, 5, 0]);
  write(device, 0x0160, [1, 5, 1]);
  setClock(device, device.utc + 400_000);
  device.run(device.micros + 200 * SECOND);
  device.openPort();
  device.run(device.micros + 100 * SECOND);
  const deepest = data.findIndex((byte, at) => at >= painted && byte !== PAINT);
  return RAM_END - deepest;
}

/** Longest stretch with interrupts off, in cycles, over five minutes and a reading of the log. */
function interruptsOff(): number {
  const device = busyChip();
  device.machine.watchInterrupts = true;
  device.run(device.micros + 300 * SECOND);
  ask(device, [4, LOG_BLOCKS >> 8, 0, 0, 122]);
  return device.machine.interruptsOffMost;
}

/** Share of the line's bytes that is log, with one request outstanding, in per cent. */
function readBack(): number {
  const device = busyChip();
  const blocks = 16;
  const began = device.micros;
  for (let block = 0; block < blocks; block++) {
    const address = LOG_BLOCKS + 0x80 * block;
    const frame = [4, address >> 8, address & 0xff, 0, 122];
    if (askQuickly(device, frame) !== 249) throw new Error('not a whole block');
  }
  const seconds = (device.micros - began) / SECOND;
  return (100 * blocks * BLOCK_BYTES) / (seconds * LINE);
}

/** Asks and waits in steps of 50 µs; the number of bytes answered. */
function askQuickly(device: ChipDevice, contents: number[]): number {
  const wanted = 5 + 2 * itemAt(contents, 4);
  let got = 0;
  const frame = Uint8Array.of(1, ...contents);
  const crc = crc16(frame);
  device.receive(Uint8Array.of(...frame, crc & 0xff, crc >> 8));
  for (let waited = 0; got < wanted && waited < SECOND; waited += 50) {
    device.run(device.micros + 50);
    got += device.takeSent().length;
  }
  return got;
}

/** Seconds from beginning an upload of the pantry table to the trial's start. */
function uploadSeconds(): number {
  const device = chip({ utc: utcSeconds(START) });
  device.run(5 * SECOND);
  const bytes = pantry();
  const began = device.micros;
  if (commit(device, upload(device, bytes), bytes)) throw new Error('commit refused');
  return (device.micros - began) / SECOND;
}

/** All rows about the firmware. */
export async function rows(): Promise<Row[]> {
  const list = Object.keys(BOARDS).map((id) =>
    row(`image of ${id}`, imageBytes(id), 'bytes', { most: FLASH_MOST }),
  );
  const stack = deepestStack();
  const fixed = staticRam('mega328-relay8');
  if (fixed !== undefined)
    list.push(row('static RAM and deepest stack', fixed + stack, 'bytes', { most: RAM_MOST }));
  list.push(row('deepest stack', stack, 'bytes'));
  const { slowest, mean } = cycles(busyChip(), MEASURED_SECONDS);
  list.push(row('slowest second of a day with visits', slowest, 'cycles', { most: SLOWEST_MOST }));
  list.push(row('mean second of a day with visits', mean, 'cycles', { most: MEAN_MOST }));
  for (const id of ['mega328-relay4-dim2', 'mega328-dim6']) {
    const dimming = cycles(busyChip(id), MEASURED_SECONDS);
    list.push(row(`slowest second, ${id} (dimming)`, dimming.slowest, 'cycles'));
    list.push(row(`mean second, ${id} (dimming)`, dimming.mean, 'cycles'));
  }
  list.push(row('longest with interrupts off', interruptsOff(), 'cycles', { most: OFF_MOST }));
  list.push(row('log read-back, share of the line', readBack(), '%', { least: SHARE_LEAST }));
  list.push(row('upload and commit of the pantry table', uploadSeconds(), 's'));
  return list;
}
