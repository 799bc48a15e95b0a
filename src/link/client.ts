/**
 * Modbus requests over a line, through modbus-serial: one at a time, with
 * time-outs, repeats where repeating does no harm, and drained after silence.
 *
 * Always holds: one request is outstanding; after a time-out the line is
 * drained and the next reads ask for another length, so that a reply which is
 * later still does not fit; blocks are checked by session and address.
 */

import modbus from 'modbus-serial';
import { itemAt } from '../../shared/assert.ts';
import { FAULT } from '../../shared/log.ts';
import {
  BLOCK_HEAD_REGISTERS,
  BLOCK_REGISTERS,
  EXCEPTION,
  MAX_READ_REGISTERS,
  STATUS,
  STATUS_REGISTERS,
} from '../../shared/registers.ts';
import { ExceptionReply, LinkFailure, mixedUp, noAnswer, portLost, supplyLow } from './failure.ts';
import type { Line } from './line.ts';
import { OVERDUE, type Pace } from './pace.ts';

/** Longer than any work the controller does before it answers, with a slow USB bridge on top. */
const TIMEOUT_MS = 750;
const READ_ATTEMPTS = 3;
/** Lengths that a read of a block takes in turn: the registers between the blocks read as 0. */
const SHAPES = MAX_READ_REGISTERS - BLOCK_REGISTERS + 1;
const BUSY_ATTEMPTS = 20;
const BUSY_WAIT_MS = 250;

type Rtu = InstanceType<typeof modbus.default>;

export interface RegisterBlock {
  readonly session: number;
  /** The registers after session and address. */
  readonly payload: readonly number[];
}

/** A Modbus client on one line, for one unit. */
export class Client {
  unit: number;
  /** Millivolts below which the controller writes nothing, once its board is known. */
  supplyNeeded: number | undefined;
  private readonly line: Line;
  private readonly pace: Pace;
  private readonly rtu: Rtu;
  private turn: Promise<unknown> = Promise.resolve();
  private lost: Promise<never>;
  private extra = 0;

  constructor(line: Line, pace: Pace, unit: number) {
    this.line = line;
    this.pace = pace;
    this.unit = unit;
    this.rtu = new modbus.default(line);
    this.rtu.on('error', () => undefined);
    this.lost = new Promise((_, reject) => {
      line.onLost = () => reject(portLost(line.path));
    });
    this.lost.catch(() => undefined);
  }

  open(): Promise<void> {
    return settle((done) => this.rtu.open(done));
  }

  close(): Promise<void> {
    return settle((done) => this.rtu.close(done));
  }

  /** Vendor, product and revision (function 43/14), or undefined when nothing answers within `ms`. */
  async identify(ms: number): Promise<readonly string[] | undefined> {
    try {
      const reply = await this.once('asking who it is', (rtu) => rtu.readDeviceIdentification(1, 0), ms);
      return Object.values(reply.data);
    } catch (error) {
      if (error instanceof LinkFailure && error.reason === 'no answer') return undefined;
      throw error;
    }
  }

  /** A block of input registers, checked by the address it carries (`key` where that is not its register). */
  async readBlock(doing: string, address: number, count: number, key = address): Promise<RegisterBlock> {
    const data = await this.repeated(doing, (rtu) => rtu.readInputRegisters(address, this.stretched(count)));
    const [session, own, ...payload] = data.data;
    if (session === undefined || own !== (key & 0xffff)) throw mixedUp();
    return { session, payload: payload.slice(0, count - BLOCK_HEAD_REGISTERS) };
  }

  /** Holding registers, which carry no address of their own: ask for such as can be told apart. */
  async readHolding(doing: string, address: number, count: number): Promise<readonly number[]> {
    const { data } = await this.repeated(doing, (rtu) => rtu.readHoldingRegisters(address, count));
    if (data.length !== count) throw mixedUp();
    return data;
  }

  /** Writes registers in one request (function 16). Repeated after silence only when `repeat`. */
  async write(doing: string, address: number, values: readonly number[], repeat: boolean): Promise<void> {
    const send = (rtu: Rtu): Promise<unknown> => rtu.writeRegisters(address, [...values]);
    await (repeat ? this.repeated(doing, send) : this.patient(doing, send));
  }

  /** Writes one coil (function 5). */
  async writeCoil(doing: string, coil: number, on: boolean): Promise<void> {
    await this.patient(doing, (rtu) => rtu.writeCoil(coil, on));
  }

  /** The length to ask for: another one after each time-out. */
  private stretched(count: number): number {
    return count + (this.extra % SHAPES);
  }

  private async repeated<T>(doing: string, send: (rtu: Rtu) => Promise<T>): Promise<T> {
    for (let attempt = 1; ; attempt++) {
      try {
        return await this.patient(doing, send);
      } catch (error) {
        const silent = error instanceof LinkFailure && error.reason === 'no answer';
        if (!silent || attempt === READ_ATTEMPTS) throw error;
      }
    }
  }

  /** Sends, and again while the controller says that it is busy. */
  private async patient<T>(doing: string, send: (rtu: Rtu) => Promise<T>): Promise<T> {
    for (let attempt = 1; ; attempt++) {
      try {
        return await this.once(doing, send, TIMEOUT_MS);
      } catch (error) {
        const busy = error instanceof ExceptionReply && error.code === EXCEPTION.busy;
        if (!busy) throw error;
        if (attempt === BUSY_ATTEMPTS) throw (await this.lowSupply(doing)) ?? error;
        await this.pace.wait(BUSY_WAIT_MS);
      }
    }
  }

  /** The failure to tell when a low supply is why the controller stays busy; else undefined. */
  private async lowSupply(doing: string): Promise<LinkFailure | undefined> {
    const { payload } = await this.readBlock('reading the status', 0, STATUS_REGISTERS);
    const at = (register: number): number => itemAt(payload, register - BLOCK_HEAD_REGISTERS);
    const isLow = (at(STATUS.faults) & (1 << (FAULT.supplyLow - 1))) !== 0;
    return isLow ? supplyLow(at(STATUS.supply), this.supplyNeeded, doing) : undefined;
  }

  /** One request, after those before it. */
  private once<T>(doing: string, send: (rtu: Rtu) => Promise<T>, ms: number): Promise<T> {
    const mine = this.turn.then(() => this.exchange(doing, send, ms));
    this.turn = mine.catch(() => undefined);
    return mine;
  }

  private async exchange<T>(doing: string, send: (rtu: Rtu) => Promise<T>, ms: number): Promise<T> {
    this.pace.heed();
    if (!this.line.isOpen) throw portLost(this.line.path);
    this.rtu.setID(this.unit);
    const answer = await this.pace.within(Promise.race([send(this.rtu), this.lost]).catch(wrap), ms);
    if (answer === OVERDUE) {
      this.extra++;
      await this.line.drain();
      throw noAnswer(this.line.path, this.unit);
    }
    if (answer instanceof Thrown) throw translate(answer.error, doing);
    return answer;
  }
}

/** An error carried through the pace as a value. */
class Thrown {
  readonly error: unknown;
  constructor(error: unknown) {
    this.error = error;
  }
}

function wrap(error: unknown): Thrown {
  return new Thrown(error);
}

function translate(error: unknown, doing: string): unknown {
  if (error instanceof LinkFailure || !(error instanceof Error)) return error;
  if ('modbusCode' in error && typeof error.modbusCode === 'number')
    return new ExceptionReply(error.modbusCode, doing);
  return new LinkFailure(
    'mixed up',
    `The controller's answer could not be read (${doing}): ${error.message}.`,
  );
}

function settle(start: (done: (error?: Error | null) => void) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    start((error) => (error ? reject(error) : resolve()));
  });
}
