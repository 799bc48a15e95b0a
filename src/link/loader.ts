/**
 * The boot loader that boards of this kind come with, spoken to as the chip
 * vendor's application note AVR061 has it (STK500, version 1): which chip,
 * write a page, read a page.
 *
 * Always holds: one command is outstanding; only program memory is written,
 * never the EEPROM, where the table stands; an answer that does not fit ends
 * the work with a sentence.
 */

import { SerialPortStream } from '@serialport/stream';
import { itemAt } from '../../shared/assert.ts';
import { LinkFailure, openFailure } from './failure.ts';
import { OVERDUE, type Pace } from './pace.ts';
import type { Port } from './port.ts';

/** Speeds that loaders for this chip at 16 MHz are built with, the usual one first. */
const SPEEDS = [115_200, 57_600] as const;
export const FLASH_PAGE_BYTES = 128;

const END = 0x20;
const IN_STEP = 0x14;
const OK = 0x10;
const COMMAND = {
  getSync: 0x30,
  getParameter: 0x41,
  enter: 0x50,
  leave: 0x51,
  address: 0x55,
  writePage: 0x64,
  readPage: 0x74,
  signature: 0x75,
} as const;
const PARAMETER = { major: 0x81, minor: 0x82 } as const;
const FLASH = 'F'.charCodeAt(0);

/** Both modem lines let go and pulled again make the pulse that resets the board. */
const PULSE_MS = 60;
/** From the reset's end until a loader listens: the chip's start-up delay and the loader's own lamp flashes. */
const LISTENS_MS = [120, 250, 250, 250] as const;
const SYNC_MS = 150;
/** A page takes 4.5 ms to erase and as much to write, beside its bytes on the line. */
const ANSWER_MS = 1_000;

/** A loader that answered. Bytes of the flash go through it page by page. */
export class Loader {
  readonly baudRate: number;
  private readonly stream: SerialPortStream;
  private readonly pace: Pace;
  private received: number[] = [];
  private wake: () => void = () => undefined;

  private constructor(port: Port, baudRate: number) {
    this.baudRate = baudRate;
    this.pace = port.pace;
    const { binding, path } = port;
    this.stream = new SerialPortStream({ binding, path, baudRate, autoOpen: false, hupcl: false });
    this.stream.on('data', (bytes: Uint8Array) => {
      this.received.push(...bytes);
      this.wake();
    });
    this.stream.on('error', () => this.wake());
  }

  /** Resets the board and finds its loader at one of the usual speeds; fails when none answers. */
  static async find(port: Port): Promise<Loader> {
    for (const baudRate of SPEEDS) {
      const loader = new Loader(port, baudRate);
      await loader.open(port.path);
      if (await loader.sync()) return loader;
      await loader.close();
    }
    throw new LinkFailure(
      'no answer',
      `No boot loader answers on ${port.path}, at ${SPEEDS.map((speed) => speed.toLocaleString('en')).join(' or ')} baud.`,
      'Take off a capacitor between RESET and ground, unplug an RS-485 transceiver from D0 and D1, and try again. ' +
        "A bare chip has no loader: its firmware goes on with a programmer (see the board's page).",
    );
  }

  private async open(path: string): Promise<void> {
    try {
      await settle((done) => this.stream.open(done));
    } catch (error) {
      throw openFailure(path, error);
    }
    await settle((done) => this.stream.set({ dtr: false, rts: false }, done)).catch(() => undefined);
    await this.pace.wait(PULSE_MS);
    await settle((done) => this.stream.set({ dtr: true, rts: true }, done)).catch(() => undefined);
  }

  async close(): Promise<void> {
    if (this.stream.isOpen) await settle((done) => this.stream.close(done));
  }

  /** True once the loader answers; it is given the time that loaders take after a reset. */
  private async sync(): Promise<boolean> {
    for (const ms of LISTENS_MS) {
      await this.pace.wait(ms);
      this.received = [];
      await this.send([COMMAND.getSync, END]);
      const answer = await this.take(2, SYNC_MS);
      if (answer?.[0] === IN_STEP && answer[1] === OK) return this.settleDown();
    }
    return false;
  }

  /** Answers to earlier questions that came late are thrown away. */
  private async settleDown(): Promise<boolean> {
    await this.pace.wait(SYNC_MS);
    this.received = [];
    return true;
  }

  /** Major and minor version, as the loader tells them. */
  async version(): Promise<readonly [number, number]> {
    const [major = 0] = await this.ask([COMMAND.getParameter, PARAMETER.major], 1);
    const [minor = 0] = await this.ask([COMMAND.getParameter, PARAMETER.minor], 1);
    return [major, minor];
  }

  /** The chip's three signature bytes as one number, such as 0x1E950F. */
  async signature(): Promise<number> {
    const bytes = await this.ask([COMMAND.signature], 3);
    return bytes.reduce((number, byte) => number * 256 + byte, 0);
  }

  async enter(): Promise<void> {
    await this.ask([COMMAND.enter], 0);
  }

  /** The loader is left; it starts the program. */
  async leave(): Promise<void> {
    await this.ask([COMMAND.leave], 0);
  }

  /** Writes one page of the flash at byte address `at`. */
  async write(at: number, page: Uint8Array): Promise<void> {
    await this.goTo(at);
    await this.ask([COMMAND.writePage, page.length >> 8, page.length & 0xff, FLASH, ...page], 0);
  }

  /** Reads one page of the flash. */
  async read(at: number): Promise<Uint8Array> {
    await this.goTo(at);
    const command = [COMMAND.readPage, FLASH_PAGE_BYTES >> 8, FLASH_PAGE_BYTES & 0xff, FLASH];
    return Uint8Array.from(await this.ask(command, FLASH_PAGE_BYTES));
  }

  /** Addresses count words. */
  private async goTo(at: number): Promise<void> {
    const word = at >> 1;
    await this.ask([COMMAND.address, word & 0xff, word >> 8], 0);
  }

  /** Sends a command; the `count` bytes between *in step* and *ok* of its answer. */
  private async ask(command: readonly number[], count: number): Promise<readonly number[]> {
    this.received = [];
    await this.send([...command, END]);
    const answer = await this.take(count + 2, ANSWER_MS);
    if (answer?.[0] === IN_STEP && answer[count + 1] === OK) return answer.slice(1, -1);
    throw new LinkFailure(
      answer ? 'mixed up' : 'no answer',
      answer ? 'The boot loader answered something else.' : 'The boot loader stopped answering.',
      'The firmware may be half written; nothing is lit until it is whole. Run the command again: the loader itself is not touched.',
    );
  }

  private async send(bytes: readonly number[]): Promise<void> {
    await settle((done) => this.stream.write(Buffer.from(bytes), (error) => done(error ?? null)));
  }

  /** The first `count` bytes that arrive within `ms`; undefined when fewer do. */
  private async take(count: number, ms: number): Promise<readonly number[] | undefined> {
    const there = new Promise<void>((resolve) => {
      this.wake = () => {
        if (this.received.length >= count) resolve();
      };
      this.wake();
    });
    if ((await this.pace.within(there, ms)) === OVERDUE) return undefined;
    itemAt(this.received, count - 1);
    return this.received.splice(0, count);
  }
}

function settle(start: (done: (error?: Error | null) => void) => void): Promise<void> {
  return new Promise((resolve, reject) => {
    start((error) => (error ? reject(error) : resolve()));
  });
}
