/**
 * Three controllers on one pair of wires, whose master also talks with a unit
 * that is none of ours: what each says, all others hear.
 *
 * Always holds: the gaps between frames are the asked ones as every unit hears
 * them; the same seed gives the same traffic.
 */

import type { SimulatedDevice } from '../../firmware-sim/simulated-device.ts';
import { BITS_PER_BYTE } from '../../firmware-sim/world/bench.ts';
import { itemAt } from '../../shared/assert.ts';
import { crc16 } from '../../shared/crc.ts';
import { DEFAULT_BAUD, FRAME_SILENCE_MICROS, HOLDING, LOG_BLOCKS } from '../../shared/registers.ts';
import { write } from './controller/host.ts';

const SECOND = 1_000_000;
const BYTE_MICROS = (BITS_PER_BYTE * SECOND) / DEFAULT_BAUD;
/** A master gives up after so long. Common practice, no source. */
const PATIENCE_MICROS = 300_000;
const UNITS = [1, 2, 3];
const STRANGER = 9;

/** Numbers from 0 to 1, the same for the same seed (Park and Miller's generator, 1988). */
function chance(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 0x7fffffff;
    return state / 0x7fffffff;
  };
}

function framed(unit: number, contents: readonly number[]): Uint8Array {
  const crc = crc16(Uint8Array.of(unit, ...contents));
  return Uint8Array.of(unit, ...contents, crc & 0xff, crc >> 8);
}

/** What a master asks: contents, and how long the answer is, unit and CRC included. */
const QUESTIONS: readonly (readonly [readonly number[], number])[] = [
  [[4, 0, 0, 0, 42], 5 + 84],
  [[1, 0, 0, 0, 9], 5 + 2],
  [[3, 1, 0x50, 0, 1], 5 + 2],
  [[4, 0, 30, 0, 1], 5 + 2],
  [[4, LOG_BLOCKS >> 8, 0, 0, 122], 5 + 244],
  [[43, 14, 4, 0], 5 + 15],
];

/** The pair, and who is on it. */
class Pair {
  private readonly devices: readonly SimulatedDevice[];

  constructor(devices: readonly SimulatedDevice[]) {
    this.devices = devices;
  }

  run(micros: number): void {
    for (const device of this.devices) device.run(device.micros + micros);
  }

  /** Somebody's bytes reach all but `from`; returns when they are through. */
  say(bytes: Uint8Array, from?: SimulatedDevice): void {
    for (const device of this.devices) if (device !== from) device.receive(bytes);
    this.run(Math.ceil(bytes.length * BYTE_MICROS));
  }

  /** What is answered, by whom, and how long after now it began; relayed to the others as it comes. */
  listen(length: number): { bytes: number[]; by: Set<SimulatedDevice>; began: number } {
    const bytes: number[] = [];
    const by = new Set<SimulatedDevice>();
    let began = 0;
    const step = 50;
    for (let waited = 0; waited < PATIENCE_MICROS && bytes.length < length; waited += step) {
      this.run(step);
      for (const device of this.devices) {
        const sent = device.takeSent();
        if (sent.length === 0) continue;
        if (bytes.length === 0) began = waited + step - BYTE_MICROS;
        bytes.push(...sent);
        by.add(device);
        for (const other of this.devices) if (other !== device) other.receive(sent);
      }
    }
    // What is relayed is a byte late: the others have heard the last one then.
    this.run(Math.ceil(BYTE_MICROS) + step);
    return { bytes, by, began };
  }
}

export interface LineResult {
  readonly asked: number;
  readonly answered: number;
  /** Answers from another unit than the one asked, or that came where none may. */
  readonly wrong: number;
  /** From a request's end to the earliest answer's beginning, within 50 µs. */
  readonly soonestMicros: number;
}

/** Asks three controllers `requests` times, with a stranger's traffic between and gaps from 1.75 ms on. */
export function askOnOnePair(make: () => SimulatedDevice, requests: number, seed: number): LineResult {
  const devices = UNITS.map(make);
  for (const [index, device] of devices.entries()) {
    device.run(12 * SECOND);
    if (write(device, HOLDING.unit, [itemAt(UNITS, index)])) throw new Error('unit refused');
  }
  const latest = Math.max(...devices.map(({ micros }) => micros));
  for (const device of devices) device.run(latest + SECOND);
  const pair = new Pair(devices);
  const draw = chance(seed);
  const pick = (below: number): number => Math.floor(draw() * below);
  // Half of all gaps are the shortest that the standard allows.
  const gap = (): void =>
    pair.run(FRAME_SILENCE_MICROS + (draw() < 0.5 ? 0 : Math.floor(draw() ** 3 * 12_000)));
  let answered = 0;
  let wrong = 0;
  let soonestMicros = Number.POSITIVE_INFINITY;

  const stranger = (): void => {
    const registers = 1 + pick(120);
    pair.say(framed(STRANGER, [3 + pick(2), pick(256), pick(256), 0, registers]));
    gap();
    if (draw() < 0.1) return;
    const values = Array.from({ length: 2 * registers }, () =>
      draw() < 0.3 ? itemAt(UNITS, pick(3)) : pick(256),
    );
    pair.say(framed(STRANGER, [3, values.length, ...values]));
    gap();
  };
  for (let request = 0; request < requests; request++) {
    while (draw() < 0.4) stranger();
    // A setting of all clocks at once is answered by nobody; this one's date is refused.
    if (draw() < 0.02) {
      pair.say(framed(0, [16, HOLDING.clock >> 8, HOLDING.clock & 0xff, 0, 3, 6, 0, 0, 0, 0, 0, 0]));
      gap();
    }
    const [contents, length] = itemAt(QUESTIONS, pick(QUESTIONS.length));
    const index = pick(UNITS.length);
    pair.say(framed(itemAt(UNITS, index), contents));
    const { bytes, by, began } = pair.listen(length);
    const right = bytes.length === length && bytes[0] === UNITS[index] && crc16(Uint8Array.from(bytes)) === 0;
    if (right) {
      answered++;
      soonestMicros = Math.min(soonestMicros, began);
    }
    if (by.size > (right ? 1 : 0) || (right && !by.has(itemAt(devices, index)))) wrong++;
    gap();
  }
  return { asked: requests, answered, wrong, soonestMicros };
}
