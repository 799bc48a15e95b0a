/**
 * Hostile frames into a controller: requests that are right but for what they
 * ask, broken ones, noise, broadcasts, other units.
 *
 * What must hold: the simulated controller and the C core answer byte for byte
 * alike and end with the same memories; the table that runs stays the one that
 * was flashed, whatever comes; the controller still answers at the end.
 */

import { makeCoreDevice } from '../../firmware-sim/core/core-device.ts';
import type { Device } from '../../firmware-sim/device.ts';
import { makeSimulatedDevice, type SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import { type Chance, draw } from '../../firmware-sim/world/random.ts';
import { sure } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';
import { HOLDING, STATUS } from '../../shared/registers.ts';
import { encodeTable } from '../../shared/table-encode.ts';
import { utcSeconds } from '../../shared/units.ts';
import { WASM } from '../boards/firmware/core-table.ts';
import { chip } from '../firmware-sim/chips/atmega328p/chip.ts';
import { DAILY, long, START, status } from '../firmware-sim/controller/host.ts';
import { BOARDS } from '../support/boards.ts';
import { type Campaign, hold, pick } from './campaign.ts';

const SECOND = 1_000_000;
/** Long enough for the longest frame on the line, the work and the answer. */
const FRAME_MICROS = 160_000;
const TABLE = encodeTable(DAILY).bytes;
/** The table's digest is what tells that it still runs. */
const { digest } = DAILY;
const UNIT = 1;

const EDGES = [0, 1, 2, 3, 0xff, 0x100, 0x7fff, 0x8000, 0xffff] as const;
const ADDRESSES = [
  ...[0, 1, 41, 42, 0x80, 0x00ff, 0x01ff, 0x1000, 0x1200, 0x2000, 0x20ff, 0x2100, 0x4000, 0x4080, 0xbfff],
  ...Object.values(HOLDING),
];
/** Registers that a stranger must be able to write without ending the run: all but unit and clock. */
const CODES = [1, 2, 3, 4, 5, 6, 15, 16, 43] as const;

const word = (value: number): number[] => [(value >> 8) & 0xff, value & 0xff];

function anyWord(chance: Chance): number {
  return draw(chance, 2) === 0 ? pick(chance, EDGES) : draw(chance, 0x10000);
}

function contents(chance: Chance): number[] {
  const code = draw(chance, 12) === 0 ? draw(chance, 256) : pick(chance, CODES);
  const address = draw(chance, 3) === 0 ? anyWord(chance) : pick(chance, ADDRESSES) + draw(chance, 3);
  if (code === 43)
    return [43, draw(chance, 4) === 0 ? draw(chance, 256) : 14, draw(chance, 6), draw(chance, 5)];
  if (code === 5) return [5, ...word(draw(chance, 12)), ...word(pick(chance, [0, 0xff00, 1, 0xff01]))];
  if (code < 15)
    return [code, ...word(address), ...word(draw(chance, 3) === 0 ? anyWord(chance) : draw(chance, 130))];
  const count = draw(chance, 4) === 0 ? anyWord(chance) : draw(chance, 20);
  const size = draw(chance, 5) === 0 ? draw(chance, 60) : code === 15 ? Math.ceil(count / 8) : 2 * count;
  const data = Array.from({ length: Math.min(size, 240) }, () => draw(chance, 256));
  return [code, ...word(address), ...word(count), data.length & 0xff, ...data];
}

/** Would change what the run itself rests on: the unit number, or the clock (days of catching up). */
function spoils([code = 0, high = 0, low = 0]: readonly number[]): boolean {
  const address = high * 256 + low;
  const written = code === 6 || code === 16;
  return written && (address === HOLDING.unit || address === HOLDING.clock);
}

function frame(chance: Chance): Uint8Array {
  if (draw(chance, 12) === 0)
    return Uint8Array.from({ length: 1 + draw(chance, 300) }, () => draw(chance, 256));
  let asked = contents(chance);
  while (spoils(asked)) asked = contents(chance);
  const unit = draw(chance, 12) === 0 ? pick(chance, [0, 2, 100, 247, 255]) : UNIT;
  const bytes = [unit, ...asked];
  const crc = crc16(Uint8Array.from(bytes)) ^ (draw(chance, 15) === 0 ? 1 << draw(chance, 16) : 0);
  const whole = Uint8Array.of(...bytes, crc & 0xff, crc >> 8);
  return draw(chance, 15) === 0 ? whole.subarray(0, draw(chance, whole.length)) : whole;
}

function exchange(device: Device, bytes: Uint8Array): string {
  device.receive(bytes);
  device.run(device.micros + FRAME_MICROS);
  return Buffer.from(device.takeSent()).toString('hex');
}

function settled<One extends Device>(device: One): One {
  device.run(3 * SECOND);
  device.takeSent();
  return device;
}

const options = {
  board: sure(BOARDS['mega328-relay8']),
  utc: utcSeconds(START + 12 * 3600),
  clockRight: true,
  probe: 23 * 16,
  table: TABLE,
};

/** The flashed table still runs, and the controller answers. */
function stillRuns(device: Device, who: string): void {
  device.run(device.micros + 200 * SECOND); // whatever trial, upload or overlay a frame began is over
  device.takeSent();
  hold(long(status(device), STATUS.digest) === digest, `${who}: another table runs`);
}

/** Of registers that were read only how many: the chip's supply, fraction of a second and milliseconds are its own. */
function outline(answer = ''): string {
  return /^..0[34]/.test(answer) ? answer.slice(0, 6) : answer;
}

function sideBySide(
  chance: Chance,
  count: number,
  pair: readonly [SimulatedDevice, SimulatedDevice],
  who: string,
): void {
  for (let at = 0; at < count; at++) {
    const bytes = frame(chance);
    const [wanted, found] = pair.map((device) => exchange(device, bytes));
    const sent = Buffer.from(bytes).toString('hex');
    const same = who === 'chip' ? outline(wanted) === outline(found) : wanted === found;
    hold(same, () => `frame ${at}, ${sent}: simulated answers '${wanted}', ${who} '${found}'`);
  }
  for (const [i, device] of pair.entries()) stillRuns(device, i === 0 ? 'simulated' : who);
  const [one, other] = pair.map(({ memories }) => Buffer.from(memories.eeprom).toString('hex'));
  hold(one === other, 'the EEPROMs differ');
}

const FRAMES = 500;

export const frames: Campaign = {
  name: 'frames',
  about: 'hostile frames into the simulated controller and the C core: answered alike, the table stays',
  unit: 'frames',
  share: 4,
  least: 400_000,
  slice: 30,
  run(chance) {
    const pair = [settled(makeSimulatedDevice(options)), settled(makeCoreDevice(WASM, options))] as const;
    sideBySide(chance, FRAMES, pair, 'core');
    return FRAMES;
  },
};

const CHIP_FRAMES = 100;

export const chipFrames: Campaign = {
  name: 'chip-frames',
  about: 'the same into the machine code on the emulated chip',
  unit: 'frames',
  share: 7,
  least: 50_000,
  slice: 3,
  run(chance) {
    const pair = [settled(makeSimulatedDevice(options)), settled(chip(options))] as const;
    sideBySide(chance, CHIP_FRAMES, pair, 'chip');
    return CHIP_FRAMES;
  },
};
