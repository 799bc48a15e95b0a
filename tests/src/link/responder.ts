/**
 * A small Modbus RTU responder as a device, for tests of the link alone: it
 * answers from a register map of its own and can be made to answer late,
 * brokenly or not at all. Written from the Modbus specification (from memory),
 * not from the link's code.
 */

import type { Device, DeviceImage, Micros } from '../../../firmware-sim/device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import { type UtcSeconds, utcSeconds } from '../../../shared/units.ts';

/** What to do with a reply: bytes to send, each after so many ms. */
export type Fate = (
  reply: Uint8Array,
  request: Uint8Array,
) => readonly { after: number; bytes: Uint8Array }[];

export const PROMPT: Fate = (reply) => [{ after: 2, bytes: reply }];

/** Frame with its CRC, low byte first. */
export function frame(...bytes: number[]): Uint8Array {
  const crc = crc16(Uint8Array.from(bytes));
  return Uint8Array.of(...bytes, crc & 0xff, crc >> 8);
}

export class Responder implements Device {
  micros: Micros = 0;
  powered = true;
  readonly levels = new Uint8Array(8);
  onLevels: Device['onLevels'];
  readonly signals = { indicator: false, buzzer: false };
  readonly operations = new Uint32Array(8);
  unit = 1;
  vendor = 'Leanward';
  fate: Fate = PROMPT;
  /** Input register → value; the rest read as 0. */
  readonly input = new Map<number, number>();
  readonly written: { address: number; values: number[] }[] = [];
  readonly requests: Uint8Array[] = [];
  opened = 0;
  private sent: number[] = [];
  private coming: { at: Micros; bytes: Uint8Array }[] = [];

  get utc(): UtcSeconds {
    return utcSeconds(800_000_000 + Math.floor(this.micros / 1e6));
  }
  run(until: Micros): void {
    this.micros = until;
    const due = this.coming.filter(({ at }) => at <= until).sort((a, b) => a.at - b.at);
    this.coming = this.coming.filter(({ at }) => at > until);
    for (const { bytes } of due) this.sent.push(...bytes);
  }
  receive(bytes: Uint8Array): void {
    this.requests.push(bytes);
    if (!this.powered || bytes[0] !== this.unit) return;
    const reply = this.answer(bytes);
    for (const { after, bytes: part } of this.fate(reply, bytes)) {
      this.coming.push({ at: this.micros + after * 1000, bytes: part });
    }
  }
  takeSent(): Uint8Array {
    const sent = Uint8Array.from(this.sent);
    this.sent = [];
    return sent;
  }
  openPort(): void {
    this.opened++;
  }
  setPower(on: boolean): void {
    this.powered = on;
  }
  setButton(): void {}
  setProbe(): void {}
  setTrouble(): void {}
  save(): DeviceImage {
    return { kind: 'responder', version: 1, data: {} };
  }

  /** A status block (session, own address 0, map version 1, board 1). */
  setStatus(session: number): void {
    for (const [at, value] of [session, 0, 1, 1].entries()) this.input.set(at, value);
  }

  private answer(request: Uint8Array): Uint8Array {
    const [unit = 0, code = 0] = request;
    const word = (at: number): number => (itemAt(request, at) << 8) | itemAt(request, at + 1);
    if (code === 43)
      return frame(
        unit,
        43,
        14,
        1,
        0x81,
        0,
        0,
        3,
        ...object(0, this.vendor),
        ...object(1, 'test'),
        ...object(2, '1'),
      );
    if (code === 4) {
      const data = Array.from({ length: word(4) }, (_, i) => this.input.get(word(2) + i) ?? 0);
      return frame(unit, 4, 2 * data.length, ...data.flatMap((value) => [value >> 8, value & 0xff]));
    }
    if (code === 16) {
      const values = Array.from({ length: word(4) }, (_, i) => word(7 + 2 * i));
      this.written.push({ address: word(2), values });
      return frame(unit, 16, ...request.subarray(2, 6));
    }
    if (code === 5) return frame(unit, 5, ...request.subarray(2, 6));
    return frame(unit, code | 0x80, 1);
  }
}

function object(id: number, text: string): number[] {
  return [id, text.length, ...Buffer.from(text, 'ascii')];
}
