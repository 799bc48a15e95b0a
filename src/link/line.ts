/**
 * The serial line as a port object for modbus-serial: sends a request, gathers
 * the reply from whatever pieces arrive, and hands over whole frames only.
 *
 * Always holds: bytes that answer nothing are thrown away; a frame is handed
 * over only while its request is outstanding, so a late reply is never taken
 * for the answer to a later question of another shape (`client.ts` sees to the
 * shape).
 */

import { EventEmitter } from 'node:events';
import type { BindingInterface } from '@serialport/bindings-cpp';
import { SerialPortStream } from '@serialport/stream';
import { type ExpectedReply, expectReply, findReply, MAX_FRAME_BYTES } from './frame.ts';
import type { Pace } from './pace.ts';

/** A line is quiet when nothing came for this long; draining ends at the latest after the limit. */
const QUIET_STEP_MS = 50;
const QUIET_STEPS = 5;
const DRAIN_LIMIT_STEPS = 40;

type Done = (error?: Error | null) => void;

/** The port object that modbus-serial drives. */
export class Line extends EventEmitter {
  readonly path: string;
  /** Called when the port closes or fails by itself. */
  onLost: (() => void) | undefined;
  private readonly pace: Pace;
  private readonly stream: SerialPortStream;
  private expected: ExpectedReply | undefined;
  private received: Uint8Array = new Uint8Array();
  private arrivals = 0;

  constructor(binding: BindingInterface, path: string, baudRate: number, pace: Pace) {
    super();
    this.path = path;
    this.pace = pace;
    // The modem lines stay as they are when the port closes, where the system allows it: the next
    // command then does not reset the board.
    this.stream = new SerialPortStream({ binding, path, baudRate, autoOpen: false, hupcl: false });
    this.stream.on('data', (bytes: Uint8Array) => this.take(bytes));
    this.stream.on('close', () => {
      this.onLost?.();
      this.emit('close');
    });
    this.stream.on('error', () => this.onLost?.());
  }

  get isOpen(): boolean {
    return this.stream.isOpen;
  }

  open(done: Done): void {
    this.stream.open((error) => done(error));
  }

  close(done: Done): void {
    this.onLost = undefined;
    this.expected = undefined;
    if (this.stream.isOpen) this.stream.close((error) => done(error));
    else done();
  }

  /** Sends one request; what came before it is forgotten. */
  write(request: Uint8Array): void {
    this.received = new Uint8Array();
    this.expected = expectReply(request);
    this.stream.write(Buffer.from(request), (error) => {
      if (error) this.onLost?.();
    });
  }

  /** Gives up the outstanding request and lets late bytes run out. */
  async drain(): Promise<void> {
    this.expected = undefined;
    let quiet = 0;
    for (let step = 0; step < DRAIN_LIMIT_STEPS && quiet < QUIET_STEPS; step++) {
      const before = this.arrivals;
      await this.pace.wait(QUIET_STEP_MS);
      quiet = this.arrivals === before ? quiet + 1 : 0;
    }
    this.received = new Uint8Array();
  }

  private take(bytes: Uint8Array): void {
    this.arrivals += bytes.length;
    if (this.expected === undefined) return;
    this.received = Buffer.concat([this.received, bytes]).subarray(-2 * MAX_FRAME_BYTES);
    const frame = findReply(this.received, this.expected);
    if (frame === undefined) return;
    this.expected = undefined;
    this.received = new Uint8Array();
    this.emit('data', Buffer.from(frame));
  }
}
