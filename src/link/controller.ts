/**
 * A controller as the commands see it: everything the register map offers,
 * typed, over one port that stays open while it works.
 *
 * Always holds: every block read is checked by its address, and by the session
 * once it is known: a controller that restarted under way is noticed, and what
 * was read before is not mixed with what is read after.
 */

import { itemAt } from '../../shared/assert.ts';
import { REFERENCE_LEAST_MILLIVOLTS, REFERENCE_MOST_MILLIVOLTS } from '../../shared/behaviour.ts';
import {
  BLOCK_BYTES,
  BLOCK_REGISTERS,
  BLOCK_STRIDE,
  HOLDING,
  LOG_BLOCK_ADDRESSES,
  LOG_BLOCKS,
  MAP_VERSION,
  SLOT_STRIDE,
  STATUS_REGISTERS,
  TABLE_BLOCKS,
  UPLOAD_REGISTERS,
  VISIT_WHAT,
  WORK_LIGHT_COIL,
} from '../../shared/registers.ts';
import { MARK_BYTES, SLOT_BYTES } from '../../shared/storage.ts';
import { VISIT_KINDS, type VisitKind } from '../../shared/table.ts';
import { decodeTable } from '../../shared/table-decode.ts';
import { type BoardFacts, isPossibleLog, readStatus, type Status } from '../answers/status/status.ts';
import { boardByNumber } from '../files/board-facts.ts';
import { Client } from './client.ts';
import {
  ExceptionReply,
  impossibleLog,
  LinkFailure,
  meterFarOff,
  mixedUp,
  noAnswer,
  noReference,
  openFailure,
  restarted,
} from './failure.ts';
import { Line } from './line.ts';
import type { Pace } from './pace.ts';
import type { Port } from './port.ts';

/** Most boards restart when their port is opened; their bootloader listens first, and must hear nothing. */
const SILENCE_MS = 2000;
const PROBE_MS = 500;
/** With the draining after each silent one, this takes about 8 s. */
const PROBES = 11;
/** What the request to set the clock takes on the wire: 15 bytes of 10 bits at 38400 baud. */
const SET_CLOCK_MS = 4;
const VENDOR = 'Leanward';

/** What a slot holds: its marks and the bytes after them. */
export interface SlotImage {
  readonly slot: number;
  readonly marks: Uint8Array;
  readonly bytes: Uint8Array;
}

/** A controller that has answered. */
export class Controller {
  readonly port: Port;
  readonly board: BoardFacts;
  readonly revision: string;
  private readonly client: Client;
  private session: number;

  private constructor(port: Port, client: Client, board: BoardFacts, revision: string, session: number) {
    this.port = port;
    this.client = client;
    this.board = board;
    this.revision = revision;
    this.session = session;
  }

  /** Opens the port, waits for the controller to start, and learns which board it is. */
  static async open(port: Port, unit: number): Promise<Controller> {
    const client = await openClient(port, unit);
    try {
      const [product, revision] = await probe(client, port, unit);
      const status = await statusOf(client);
      const board = boardByNumber(status.board);
      if (status.mapVersion !== MAP_VERSION) throw otherMap(status.mapVersion);
      if (board === undefined) throw unknownBoard(product);
      client.supplyNeeded = board.supplyNeeded;
      return new Controller(port, client, board, revision, status.session);
    } catch (error) {
      await client.close();
      throw error;
    }
  }

  get pace(): Pace {
    return this.port.pace;
  }

  get unit(): number {
    return this.client.unit;
  }

  async close(): Promise<void> {
    await this.client.close();
  }

  /** The status now; fails when the controller restarted since it was opened. */
  async status(): Promise<Status> {
    const status = await statusOf(this.client);
    if (status.session !== this.session) throw restarted();
    return status;
  }

  /**
   * Sets the clock to the host's time. Such clocks begin their second afresh when
   * they are set, so the host waits until the next second is about to begin.
   */
  async setClock(): Promise<void> {
    const { seconds, sub } = this.pace.now();
    const left = 1000 - (sub * 1000) / 256 - SET_CLOCK_MS;
    const next = left > 0 ? seconds + 1 : seconds + 2;
    await this.pace.wait(left > 0 ? left : left + 1000);
    await this.client.write('setting the clock', HOLDING.clock, [...halves(next), 0], false);
  }

  /** Reads a slot: marks, and the bytes where a table lies. */
  async readSlot(slot: number): Promise<SlotImage> {
    const bytes = new Uint8Array(SLOT_BYTES);
    for (let at = 0, block = 0; at < SLOT_BYTES; at += BLOCK_BYTES, block++) {
      const address = TABLE_BLOCKS + slot * SLOT_STRIDE + block * BLOCK_STRIDE;
      bytes.set((await this.block('reading a table', address)).subarray(0, SLOT_BYTES - at), at);
    }
    return { slot, marks: bytes.subarray(0, MARK_BYTES), bytes: bytes.subarray(MARK_BYTES) };
  }

  /** The table that runs, or undefined when none does. */
  async readRunningTable(): Promise<Uint8Array | undefined> {
    const { running } = await this.status();
    if (running === undefined) return undefined;
    const table = (await this.readSlot(running.slot)).bytes.slice(0, running.length);
    if (!decodeTable(table).ok) throw noTable(running.slot);
    return table;
  }

  /** Puts a table into the slot that does not run. Returns the upload's session. */
  async upload(table: Uint8Array, onPart: (part: number) => void): Promise<number> {
    await this.client.write('opening an upload', HOLDING.begin, [table.length], true);
    const { uploadSession } = await this.status();
    if (uploadSession === 0) throw restarted();
    const registers = toRegisters(table);
    for (let at = 0; at < registers.length; at += UPLOAD_REGISTERS) {
      const part = registers.slice(at, at + UPLOAD_REGISTERS);
      await this.client.write('sending the table', HOLDING.table + at, part, true);
      onPart((at + part.length) / registers.length);
    }
    return uploadSession;
  }

  /** Starts the trial of an uploaded table. */
  async commit(session: number, length: number, crc: number): Promise<void> {
    const values = [session, length, ...halves(crc)];
    await this.client.write('starting the trial', HOLDING.commit, values, false);
  }

  /** Makes the trial's table stay. May be repeated. */
  async confirm(session: number, sequence: number, crc: number): Promise<void> {
    const values = [session, sequence, ...halves(crc)];
    await this.client.write('confirming the table', HOLDING.confirm, values, true);
  }

  /** Gives up the trial or the open upload. */
  async giveUp(session: number): Promise<void> {
    await this.client.write('giving up the trial', HOLDING.giveUp, [session], false);
  }

  /** The 240 bytes of log block `k` (15 records). */
  readLogBlock(k: number): Promise<Uint8Array> {
    const address = LOG_BLOCKS + BLOCK_STRIDE * (k % LOG_BLOCK_ADDRESSES);
    return this.block('reading the log', address, k);
  }

  /** Switches an output by hand (1 is the first) for the hand minutes. */
  async hand(output: number, on: boolean): Promise<void> {
    await this.client.writeCoil(`switching output ${output}`, output - 1, on);
  }

  /** How long the next hand switching lasts; 0 releases all. */
  async setHandMinutes(minutes: number): Promise<void> {
    await this.client.write('setting the hand minutes', HOLDING.handMinutes, [minutes], true);
  }

  async workLight(on: boolean): Promise<void> {
    await this.client.writeCoil('switching the work light', WORK_LIGHT_COIL, on);
  }

  /**
   * Answers a visit of `kind` in `zones` (bit 0 is the first), or takes the last answer back.
   * False when there is no such visit to answer.
   */
  async answerVisit(kind: VisitKind, zones: number, what: keyof typeof VISIT_WHAT): Promise<boolean> {
    try {
      const values = [VISIT_KINDS.indexOf(kind), zones, VISIT_WHAT[what]];
      await this.client.write('answering a visit', HOLDING.visit, values, false);
      return true;
    } catch (error) {
      if (error instanceof ExceptionReply && error.code === 3) return false;
      throw error;
    }
  }

  /** Gives the controller its identity (kept over power cuts). */
  async setIdentity(identity: number): Promise<void> {
    await this.client.write('giving it an identity', HOLDING.identity, halves(identity), true);
  }

  /**
   * Holds the chip's reference against a meter that shows `millivolts` now: all later
   * readings of the supply are right, also under newer firmware. Gives the supply as
   * it read before. Fails when the two are further apart than a reference can be off.
   */
  async meterSupply(millivolts: number): Promise<number> {
    const { supply, identity } = await this.status();
    if (supply === undefined) throw meterFarOff(0, millivolts);
    // With the identity before it the answer can be told from any other.
    const [high = 0, low = 0, reference = 0] = await this.client.readHolding(
      'reading its reference',
      HOLDING.identity,
      3,
    );
    if (high * 0x10000 + low !== identity) throw mixedUp();
    if (reference === 0) throw noReference();
    const right = Math.round((reference * millivolts) / supply);
    if (right < REFERENCE_LEAST_MILLIVOLTS || right > REFERENCE_MOST_MILLIVOLTS)
      throw meterFarOff(supply, millivolts);
    await this.client.write('setting its reference', HOLDING.reference, [right], true);
    return supply;
  }

  /** Gives the controller another unit number; it answers to it from the next request on. */
  async setUnit(unit: number): Promise<void> {
    await this.client.write('giving it a unit number', HOLDING.unit, [unit], false);
    this.client.unit = unit;
  }

  private async block(doing: string, address: number, key = address): Promise<Uint8Array> {
    const { session, payload } = await this.client.readBlock(doing, address, BLOCK_REGISTERS, key);
    if (session !== this.session) throw restarted();
    return Uint8Array.from(payload.flatMap((register) => [register >> 8, register & 0xff]));
  }
}

async function openClient(port: Port, unit: number): Promise<Client> {
  const line = new Line(port.binding, port.path, port.baudRate, port.pace);
  const client = new Client(line, port.pace, unit);
  try {
    await client.open();
  } catch (error) {
    throw openFailure(port.path, error);
  }
  try {
    await port.pace.wait(SILENCE_MS);
    await line.drain();
    return client;
  } catch (error) {
    await client.close();
    throw error;
  }
}

/** Asks who is there until someone says; product and revision. */
async function probe(client: Client, port: Port, unit: number): Promise<[string, string]> {
  for (let attempt = 0; attempt < PROBES; attempt++) {
    const answer = await client.identify(PROBE_MS);
    if (answer === undefined) continue;
    const [vendor = '', product = '', revision = ''] = answer;
    if (vendor === VENDOR) return [product, revision];
    throw new LinkFailure(
      'not a controller',
      `What answers on ${port.path} is not a Leanward controller (it calls itself ${vendor} ${product}).`,
      'Choose another port; `leanward ports` lists them.',
    );
  }
  throw noAnswer(port.path, unit);
}

async function statusOf(client: Client): Promise<Status> {
  const { session, payload } = await client.readBlock('reading the status', 0, STATUS_REGISTERS);
  const status = readStatus(session, payload);
  if (!isPossibleLog(status)) throw impossibleLog(status.logOldest, status.logNewest);
  return status;
}

function noTable(slot: number): LinkFailure {
  return new LinkFailure(
    'mixed up',
    `The controller says that it runs the table in slot ${slot}, but what it gives of that slot is no table.`,
    'Look with `leanward status`; start the controller anew, so that it reads its memory again.',
  );
}

function otherMap(version: number): LinkFailure {
  return new LinkFailure(
    'wrong board',
    `This controller speaks version ${version} of the register map; this Leanward knows version ${MAP_VERSION}.`,
    'Use the Leanward that belongs to its firmware, or a newer one.',
  );
}

function unknownBoard(product: string): LinkFailure {
  return new LinkFailure(
    'wrong board',
    `This controller is a ${product}, which this version of Leanward does not know.`,
    'Use the Leanward that belongs to its firmware, or a newer one.',
  );
}

function halves(value: number): [number, number] {
  return [Math.floor(value / 0x10000) & 0xffff, value & 0xffff];
}

/** Bytes as registers, high byte first; a last odd byte is padded with 0xFF. */
function toRegisters(bytes: Uint8Array): number[] {
  return Array.from(
    { length: Math.ceil(bytes.length / 2) },
    (_, i) => (itemAt(bytes, 2 * i) << 8) | (bytes[2 * i + 1] ?? 0xff),
  );
}
