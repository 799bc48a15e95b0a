/**
 * Requests of the host, function by function (protocol.md), and their answers.
 *
 * Always holds: one request is in work at a time; a request for another unit,
 * or broadcast, is never answered.
 */

import { itemAt, sure } from '../../shared/assert.ts';
import {
  COIL_COUNT,
  EXCEPTION,
  FIRMWARE_REVISION,
  HOLDING,
  INPUT_END,
  MAX_READ_REGISTERS,
  WORK_LIGHT_COIL,
} from '../../shared/registers.ts';
import { beginWrite, finishWrite } from './commands.ts';
import { FUNCTION, frame, MEI_IDENTIFY } from './modbus.ts';
import { beginWorkLight, endWorkLight, switchByHand } from './overlays.ts';
import { coilIsOn, readHolding, readInput } from './reading.ts';
import { react } from './second.ts';
import type { SimulatedController } from './state.ts';

const VENDOR = 'Leanward';
const MOST_COILS_READ = 2_000;
const MOST_COILS_WRITTEN = 1_968;
const MOST_REGISTERS_WRITTEN = 123;
const EXCEPTION_BIT = 0x80;
const COIL_ON = 0xff00;
const CONFORMITY = 0x81;

/** The contents of an answer: function code and data. */
type Contents = readonly number[];

const u16 = (bytes: Contents, at: number): number => (itemAt(bytes, at) << 8) | itemAt(bytes, at + 1);
const fail = (code: number, exception: number): Contents => [code | EXCEPTION_BIT, exception];

/** A whole frame has arrived: the answer to send, or undefined when there is none (yet). */
export function takeFrame(controller: SimulatedController, bytes: readonly number[]): Uint8Array | undefined {
  const { state } = controller;
  const [unit, ...rest] = bytes;
  const contents = rest.slice(0, -2);
  if (unit === 0) {
    const isClock = contents[0] === FUNCTION.writeRegisters && u16(contents, 1) === HOLDING.clock;
    if (isClock) writeRegisters(controller, contents);
    state.working = undefined;
    return undefined;
  }
  if (unit !== state.unit) return undefined;
  const answer = perform(controller, contents);
  return answer && frame(unit, answer);
}

/** The writes of the request in work stand: its answer. */
export function finishRequest(controller: SimulatedController): Uint8Array {
  const { state } = controller;
  const { unit } = state;
  const contents = sure(state.working);
  state.working = undefined;
  const code = itemAt(contents, 0);
  const outcome = finishWrite(controller, u16(contents, 1), valuesOf(contents));
  return frame(unit, outcome ? fail(code, outcome) : contents.slice(0, 5));
}

/** Undefined: the answer follows when the work is done. */
function perform(controller: SimulatedController, contents: Contents): Contents | undefined {
  switch (contents[0]) {
    case FUNCTION.readCoils:
      return readCoils(controller, contents);
    case FUNCTION.readHolding:
      return readHoldingRegisters(controller, contents);
    case FUNCTION.readInput:
      return readInputRegisters(controller, contents);
    case FUNCTION.writeCoil:
      return writeCoil(controller, contents);
    case FUNCTION.writeCoils:
      return writeCoils(controller, contents);
    case FUNCTION.writeRegister:
    case FUNCTION.writeRegisters:
      return writeRegisters(controller, contents);
    case FUNCTION.identify:
      return identify(controller, contents);
    default:
      return fail(itemAt(contents, 0), EXCEPTION.function);
  }
}

function readCoils(controller: SimulatedController, contents: Contents): Contents {
  const from = u16(contents, 1);
  const count = u16(contents, 3);
  if (count < 1 || count > MOST_COILS_READ) return fail(itemAt(contents, 0), EXCEPTION.value);
  if (from + count > COIL_COUNT) return fail(itemAt(contents, 0), EXCEPTION.address);
  const bytes = Array<number>(Math.ceil(count / 8)).fill(0);
  for (let index = 0; index < count; index++) {
    if (coilIsOn(controller, from + index))
      bytes[index >> 3] = itemAt(bytes, index >> 3) | (1 << (index & 7));
  }
  return [itemAt(contents, 0), bytes.length, ...bytes];
}

const registers = (code: number, values: readonly number[]): Contents => [
  code,
  2 * values.length,
  ...values.flatMap((value) => [value >> 8, value & 0xff]),
];

/** True when `address` lies in the map of holding registers. */
const isHolding = (address: number): boolean =>
  (address >= 0x0100 && address <= 0x01ff) || (address >= 0x2000 && address <= 0x20ff);

function readHoldingRegisters(controller: SimulatedController, contents: Contents): Contents {
  const from = u16(contents, 1);
  const count = u16(contents, 3);
  if (count < 1 || count > MAX_READ_REGISTERS) return fail(itemAt(contents, 0), EXCEPTION.value);
  if (!isHolding(from) || !isHolding(from + count - 1)) return fail(itemAt(contents, 0), EXCEPTION.address);
  const values = Array.from({ length: count }, (_, index) => readHolding(controller, from + index));
  return registers(itemAt(contents, 0), values);
}

function readInputRegisters(controller: SimulatedController, contents: Contents): Contents {
  const from = u16(contents, 1);
  const count = u16(contents, 3);
  if (count < 1 || count > MAX_READ_REGISTERS) return fail(itemAt(contents, 0), EXCEPTION.value);
  if (from + count > INPUT_END) return fail(itemAt(contents, 0), EXCEPTION.address);
  const values = readInput(controller, from, count);
  return values ? registers(itemAt(contents, 0), values) : fail(itemAt(contents, 0), EXCEPTION.failure);
}

/** True when the board has what coil `coil` switches. */
const hasCoil = ({ board }: SimulatedController, coil: number): boolean =>
  coil < board.outputs || coil === WORK_LIGHT_COIL;

function writeCoil(controller: SimulatedController, contents: Contents): Contents {
  const coil = u16(contents, 1);
  const value = u16(contents, 3);
  if (!hasCoil(controller, coil)) return fail(itemAt(contents, 0), EXCEPTION.address);
  if (value !== COIL_ON && value !== 0) return fail(itemAt(contents, 0), EXCEPTION.value);
  switchCoils(controller, 1 << coil, value === 0 ? 0 : 1 << coil);
  return contents;
}

function writeCoils(controller: SimulatedController, contents: Contents): Contents {
  const from = u16(contents, 1);
  const count = u16(contents, 3);
  if (count < 1 || count > MOST_COILS_WRITTEN || contents[5] !== Math.ceil(count / 8)) {
    return fail(itemAt(contents, 0), EXCEPTION.value);
  }
  const coils = Array.from({ length: count }, (_, index) => from + index);
  if (!coils.every((coil) => hasCoil(controller, coil))) return fail(itemAt(contents, 0), EXCEPTION.address);
  const bit = (index: number): number => (itemAt(contents, 6 + (index >> 3)) >> (index & 7)) & 1;
  const on = coils.reduce((mask, coil, index) => mask | (bit(index) << coil), 0);
  switchCoils(controller, ((1 << count) - 1) << from, on);
  return contents.slice(0, 5);
}

/** Switches the coils of `which`, on where `on` has them. */
function switchCoils(controller: SimulatedController, which: number, on: number): void {
  const outputs = which & 0xff;
  const several = (which & (which - 1)) !== 0;
  switchByHand(controller, outputs, on, several);
  if (which & (1 << WORK_LIGHT_COIL)) {
    if (on & (1 << WORK_LIGHT_COIL)) beginWorkLight(controller);
    else endWorkLight(controller);
  }
  react(controller);
}

/** The register values of a write request. */
function valuesOf(contents: Contents): number[] {
  if (contents[0] === FUNCTION.writeRegister) return [u16(contents, 3)];
  return Array.from({ length: u16(contents, 3) }, (_, index) => u16(contents, 6 + 2 * index));
}

function writeRegisters(controller: SimulatedController, contents: Contents): Contents | undefined {
  const code = itemAt(contents, 0);
  const count = code === FUNCTION.writeRegister ? 1 : u16(contents, 3);
  const fits = code === FUNCTION.writeRegister || contents[5] === 2 * count;
  if (count < 1 || count > MOST_REGISTERS_WRITTEN || !fits) return fail(code, EXCEPTION.value);
  const outcome = beginWrite(controller, u16(contents, 1), valuesOf(contents));
  if (outcome) return fail(code, outcome);
  controller.state.working = [...contents];
  return undefined;
}

const ascii = (text: string): number[] => Array.from(text, (letter) => letter.charCodeAt(0));

function identify(controller: SimulatedController, contents: Contents): Contents {
  const [code, type, read, object] = contents as [number, number, number, number];
  if (type !== MEI_IDENTIFY) return fail(code, EXCEPTION.function);
  if (read < 1 || read > 4) return fail(code, EXCEPTION.value);
  const objects = [VENDOR, controller.board.id, FIRMWARE_REVISION].map((text, id) => [
    id,
    text.length,
    ...ascii(text),
  ]);
  const single = read === 4;
  if (single && object >= objects.length) return fail(code, EXCEPTION.address);
  // An unknown first object of a stream: from the beginning (specification, 6.21).
  const given = single ? [itemAt(objects, object)] : objects.slice(object < objects.length ? object : 0);
  return [code, type, read, CONFORMITY, 0, 0, given.length, ...given.flat()];
}
