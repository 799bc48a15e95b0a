/**
 * A serial binding whose far end is a device in this program, and the pace at
 * which its time passes: waiting for an answer runs the device.
 *
 * Always holds: no real time passes and no timer is used; opening the port
 * does to the device what opening a real port does to a board.
 */

import type {
  BindingInterface,
  BindingPortInterface,
  BindingsErrorInterface,
  OpenOptions,
  PortStatus,
} from '@serialport/bindings-cpp';
import type { Happenings } from '../../firmware-sim/happenings.ts';
import { OVERDUE, type Pace } from '../link/pace.ts';

/** How finely the device runs while an answer is awaited. */
const STEP_MS = 1;
/** Virtual time after which the rest of this program has its turn: an emulated chip takes long. */
const TURN_MS = 100;
const MICROS_PER_MS = 1000;

/** A binding to the device of `world`. The pace must be used for all waiting on it. */
export function virtualLink(world: Happenings): { binding: BindingInterface; pace: Pace } {
  const ports = new Set<VirtualPort>();
  const binding: BindingInterface = {
    list: async () => [],
    open: async (options) => {
      const port = new VirtualPort(world, options, () => ports.delete(port));
      ports.add(port);
      world.device.openPort();
      return port;
    },
  };
  const deliver = (): boolean => {
    const sent = world.device.takeSent();
    for (const port of ports) port.arrive(sent);
    return sent.length > 0;
  };
  return { binding, pace: new VirtualPace(world, deliver) };
}

/** Lets everything that is ready run: promises, stream events. */
function settle(): Promise<void> {
  return new Promise((resolve) => setImmediate(resolve));
}

class VirtualPace implements Pace {
  private readonly world: Happenings;
  private readonly deliver: () => boolean;

  constructor(world: Happenings, deliver: () => boolean) {
    this.world = world;
    this.deliver = deliver;
  }

  async wait(ms: number): Promise<void> {
    for (let left = ms; left > 0; left -= TURN_MS) {
      await settle();
      this.world.advance(Math.min(left, TURN_MS) * MICROS_PER_MS);
    }
    this.deliver();
    await settle();
  }

  async within<T>(work: Promise<T>, ms: number): Promise<T | typeof OVERDUE> {
    let settled = false;
    const watched = work.finally(() => {
      settled = true;
    });
    watched.catch(() => undefined);
    await settle();
    for (let passed = 0; passed < ms && !settled; passed += STEP_MS) {
      this.world.advance(STEP_MS * MICROS_PER_MS);
      if (this.deliver() || passed % TURN_MS === 0) await settle();
    }
    await settle();
    return settled ? watched : OVERDUE;
  }

  heed(): void {}

  now(): ReturnType<Happenings['now']> {
    return this.world.now();
  }
}

interface Waiting {
  readonly buffer: Buffer;
  readonly offset: number;
  readonly length: number;
  readonly resolve: (read: { buffer: Buffer; bytesRead: number }) => void;
  readonly reject: (error: Error) => void;
}

class VirtualPort implements BindingPortInterface {
  readonly openOptions: Required<OpenOptions>;
  isOpen = true;
  private readonly world: Happenings;
  private readonly onClose: () => void;
  private arrived: Buffer = Buffer.alloc(0);
  private waiting: Waiting | undefined;

  constructor(world: Happenings, options: OpenOptions, onClose: () => void) {
    this.world = world;
    this.onClose = onClose;
    this.openOptions = {
      dataBits: 8,
      stopBits: 1,
      parity: 'none',
      lock: true,
      rtscts: false,
      xon: false,
      xoff: false,
      xany: false,
      hupcl: true,
      ...options,
    };
  }

  arrive(bytes: Uint8Array): void {
    if (bytes.length === 0) return;
    this.arrived = Buffer.concat([this.arrived, bytes]);
    this.hand();
  }

  private hand(): void {
    if (this.waiting === undefined || this.arrived.length === 0) return;
    const { buffer, offset, length, resolve } = this.waiting;
    const bytesRead = this.arrived.copy(buffer, offset, 0, length);
    this.arrived = this.arrived.subarray(bytesRead);
    this.waiting = undefined;
    resolve({ buffer, bytesRead });
  }

  read(buffer: Buffer, offset: number, length: number): Promise<{ buffer: Buffer; bytesRead: number }> {
    return new Promise((resolve, reject) => {
      this.waiting = { buffer, offset, length, resolve, reject };
      if (this.isOpen) this.hand();
      else reject(canceled());
    });
  }

  async write(buffer: Buffer): Promise<void> {
    if (!this.isOpen) throw canceled();
    this.world.device.receive(Uint8Array.from(buffer));
  }

  async close(): Promise<void> {
    this.isOpen = false;
    this.onClose();
    this.waiting?.reject(canceled());
    this.waiting = undefined;
  }

  async update(): Promise<void> {}
  async set(): Promise<void> {}
  async get(): Promise<PortStatus> {
    return { cts: true, dsr: true, dcd: true };
  }
  async getBaudRate(): Promise<{ baudRate: number }> {
    return { baudRate: this.openOptions.baudRate };
  }
  async flush(): Promise<void> {
    this.arrived = Buffer.alloc(0);
  }
  async drain(): Promise<void> {}
}

function canceled(): BindingsErrorInterface {
  const error: BindingsErrorInterface = new Error('the port was closed');
  error.canceled = true;
  return error;
}
