/**
 * The power fails within every single write of a flash: every EEPROM byte and
 * every page of the log, and a mark byte that is torn has each of its 256
 * values in turn (README.md says what the silicon can leave).
 *
 * What must hold: after the start that follows, the old or the new table runs,
 * whole; the identity stays; no record that had been written before is lost or
 * changed; the next start finds the same.
 */

import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import type { SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { decodeRecord, PAGE_BYTES, RECORD_BYTES } from '../../shared/log.ts';
import { HOLDING, STATUS } from '../../shared/registers.ts';
import { MARK_BYTES, SLOT_BYTES, SLOT_COUNT } from '../../shared/storage.ts';
import type { Table } from '../../shared/table.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { chip } from '../firmware-sim/chips/atmega328p/chip.ts';
import { DAILY, flash, long, pass, SECOND, START, status, write } from '../firmware-sim/controller/host.ts';
import { BOARDS } from '../support/boards.ts';
import { type Campaign, hold } from './campaign.ts';

/** Memories as they lie in the silicon. */
interface Memories {
  readonly eeprom: Uint8Array;
  readonly log: Uint8Array;
}

/** One write that the flash made, and what lay there before it. */
interface Write {
  readonly before: Memories;
  readonly part: keyof Memories;
  readonly at: number;
  readonly wanted: Uint8Array;
}

const IDENTITY = 0x12345678;
const STEP_MICROS = 500;

function tableOf(chance: Chance, digest: number): Table {
  const days = 1 + draw(chance, 200);
  const length = 1 + draw(chance, 700);
  return {
    ...DAILY,
    digest,
    patterns: Array.from({ length: 1 + draw(chance, 12) }, (_, i) => ({
      start: (97 * i) % 1440,
      continuous: false,
      segments: [{ length, level: 16 }],
    })),
    tracks: [[{ kind: 'plain', days, pattern: 0 }]],
  };
}

const copyOf = ({ memories }: SimulatedDevice): Memories => ({
  eeprom: Uint8Array.from(memories.eeprom),
  log: Uint8Array.from(memories.log),
});

/** Watches a device while it runs: every change of its memories is a write. */
function watch(device: SimulatedDevice): Write[] {
  const writes: Write[] = [];
  let last = copyOf(device);
  const run = device.run.bind(device);
  device.run = (until) => {
    while (device.micros < until) {
      run(Math.min(until, device.micros + STEP_MICROS));
      const found = changed(last, device.memories);
      writes.push(...found);
      if (found.length > 0) last = copyOf(device);
    }
  };
  return writes;
}

/** EEPROM bytes and log pages that differ. */
function changed(before: Memories, now: Memories): Write[] {
  const writes: Write[] = [];
  for (let at = 0; at < now.eeprom.length; at++) {
    if (before.eeprom[at] !== now.eeprom[at])
      writes.push({ before, part: 'eeprom', at, wanted: now.eeprom.slice(at, at + 1) });
  }
  for (let at = 0; at < now.log.length; at += PAGE_BYTES) {
    const wanted = now.log.slice(at, at + PAGE_BYTES);
    if (Buffer.compare(before.log.subarray(at, at + PAGE_BYTES), wanted) !== 0)
      writes.push({ before, part: 'log', at, wanted });
  }
  return writes;
}

const isMark = ({ part, at }: Write): boolean =>
  part === 'eeprom' && at < SLOT_COUNT * SLOT_BYTES && at % SLOT_BYTES < MARK_BYTES;

/** What the write can leave: every value of a mark; else as before, erased, written, and partly. */
function* leftovers(one: Write, chance: Chance): Generator<Uint8Array> {
  if (isMark(one)) {
    for (let value = 0; value < 256; value++) yield Uint8Array.of(value);
    return;
  }
  const before = one.before[one.part].slice(one.at, one.at + one.wanted.length);
  yield before;
  yield one.wanted.map(() => 0xff);
  yield one.wanted;
  yield one.wanted.map((byte, i) => (draw(chance, 2) === 0 ? byte : (before[i] ?? 0)) | draw(chance, 256));
  if (one.part === 'log') yield one.wanted.map((byte, i) => (i < PAGE_BYTES / 2 ? byte : (before[i] ?? 0)));
}

/** Sequence numbers of the whole records in a log memory, and their bytes. */
function recordsIn(log: Uint8Array): Map<number, string> {
  const found = new Map<number, string>();
  for (let at = 0; at < log.length; at += RECORD_BYTES) {
    const bytes = log.subarray(at, at + RECORD_BYTES);
    const record = decodeRecord(bytes);
    if (record) found.set(record.sequence, Buffer.from(bytes).toString('hex'));
  }
  return found;
}

/** Starts a controller with these memories and looks at what it makes of them. */
function startWith(device: SimulatedDevice, { eeprom, log }: Memories): number {
  device.setPower(false);
  device.memories.eeprom.set(eeprom);
  device.memories.log.set(log);
  pass(device, 2);
  device.setPower(true);
  pass(device, 2);
  const registers = status(device);
  hold(long(registers, STATUS.identity) === IDENTITY, 'the identity is lost');
  return long(registers, STATUS.digest);
}

function cut(device: SimulatedDevice, one: Write, left: Uint8Array, digests: readonly number[]): void {
  const torn = { eeprom: Uint8Array.from(one.before.eeprom), log: Uint8Array.from(one.before.log) };
  torn[one.part].set(left, one.at);
  const where = (): string => `${one.part} ${one.at} left as ${Buffer.from(left).toString('hex')}`;
  const runs = startWith(device, torn);
  hold(digests.includes(runs), () => `${where()}: table ${runs.toString(16)} runs`);
  const [before, after] = [recordsIn(torn.log), recordsIn(device.memories.log)];
  for (const [sequence, bytes] of before) {
    const kept = after.get(sequence);
    hold(kept === bytes, () => `${where()}: record ${sequence} is ${kept ?? 'gone'}`);
  }
  const again = startWith(device, copyOf(device));
  hold(again === runs, () => `${where()}: after one more start ${again.toString(16)} runs`);
}

type Maker = (utc: number) => SimulatedDevice;

/** All writes of a flash of a new table over an old one. */
function flashed(chance: Chance, make: Maker): { writes: Write[]; digests: number[] } {
  const [old, next] = [1 + draw(chance, 0xffff), 0x10000 + draw(chance, 0xffff)];
  const device = make(START + draw(chance, 86_400));
  device.run(SECOND);
  hold(write(device, HOLDING.identity, [IDENTITY >>> 16, IDENTITY & 0xffff]) === 0, 'no identity');
  flash(device, tableOf(chance, old));
  if (draw(chance, 2) === 0) flash(device, tableOf(chance, old));
  const writes = watch(device);
  flash(device, tableOf(chance, next));
  return { writes, digests: [old, next] };
}

const core: Maker = (utc) =>
  makeCoreDevice(WASM, {
    board: sure(BOARDS['mega328-relay8']),
    utc: utcSeconds(utc),
    clockRight: true,
    probe: 23 * 16,
  });

export const torn: Campaign = {
  name: 'torn',
  about: 'the power fails within each write of a flash, all values of mark bytes: C core',
  unit: 'cuts',
  share: 4,
  least: 80_000,
  slice: 1,
  run(chance) {
    const { writes, digests } = flashed(chance, core);
    const device = core(START + 2 * 86_400);
    let cuts = 0;
    for (const one of writes) {
      for (const left of leftovers(one, chance)) {
        cut(device, one, left, digests);
        cuts++;
      }
    }
    return cuts;
  },
};

const CHIP_CUTS = 20;

export const chipTorn: Campaign = {
  name: 'chip-torn',
  about: 'a sample of the same on the machine code',
  unit: 'cuts',
  share: 2,
  slice: 1,
  run(chance) {
    const { writes, digests } = flashed(chance, core);
    const device = chip({ utc: utcSeconds(START + 2 * 86_400) });
    const all = writes.flatMap((one) => [...leftovers(one, chance)].map((left) => ({ one, left })));
    for (let taken = 0; taken < CHIP_CUTS; taken++) {
      const { one, left } = all[draw(chance, all.length)] ?? { one: undefined, left: undefined };
      if (one && left) cut(device, one, left, digests);
    }
    return CHIP_CUTS;
  },
};
