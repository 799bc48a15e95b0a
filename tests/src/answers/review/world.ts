/**
 * A simulated controller that lives through a grow with a list of happenings,
 * its log read now and then as the host would, and what its lamps truly showed.
 */

import { makeSimulatedDevice, type SimulatedDevice } from '../../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../../shared/assert.ts';
import { crc16 } from '../../../../shared/crc.ts';
import { decodeRecord, type LogRecord, RECORD_BYTES } from '../../../../shared/log.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { boards } from '../visits/plan.ts';

const MICROS = 1_000_000;

/** Something that happens at a true UTC second. */
export interface Happening {
  readonly at: number;
  readonly act: (world: SimWorld) => void;
}

export interface Shown {
  readonly at: number;
  readonly levels: Uint8Array;
}

/** A device with its begin, and helpers that do what people and hosts do to it. */
export class SimWorld {
  readonly device: SimulatedDevice;
  /** Ground truth: what the pins showed, by true UTC second. */
  readonly shown: Shown[] = [];
  /** What reading the log gave so far, by sequence. */
  readonly read = new Map<number, Uint8Array>();
  private readonly begin: number;

  constructor(
    table: Uint8Array | undefined,
    begin: number,
    probe: number | undefined = 23 * 16,
    driftPpm = 0,
  ) {
    this.begin = begin;
    const board = sure(boards['mega328-relay8']);
    this.device = makeSimulatedDevice({
      board,
      utc: utcSeconds(begin),
      ...(table ? { table } : {}),
      clockRight: true,
      probe,
      driftPpm,
    });
    this.device.onLevels = (at, levels) => this.shown.push({ at, levels: Uint8Array.from(levels) });
  }

  /** Runs to a true UTC second. */
  runTo(utc: number): void {
    this.device.run((utc - this.begin) * MICROS);
  }

  /** Lives through all happenings, in order of time, to `until`. */
  live(happenings: readonly Happening[], until: number): void {
    for (const one of [...happenings].sort((a, b) => a.at - b.at)) {
      this.runTo(one.at);
      one.act(this);
    }
    this.runTo(until);
  }

  /** Sends a request; the answer is thrown away. */
  request(body: readonly number[]): void {
    const frame = [1, ...body];
    const crc = crc16(Uint8Array.from(frame));
    this.device.receive(Uint8Array.from([...frame, crc & 0xff, crc >> 8]));
    this.device.run(this.device.micros + MICROS / 4);
    this.device.takeSent();
  }

  /** Switches an output (1 the first) by hand for the ten minutes of a start. */
  hand(output: number, on: boolean): void {
    this.request([5, 0, output - 1, on ? 0xff : 0, 0]);
  }

  /** Releases all hand switching. */
  release(): void {
    this.request([16, 0x01, 0x50, 0, 1, 2, 0, 0]);
  }

  /** The host sets the clock to true time. */
  setClock(): void {
    const utc = this.device.utc;
    const bytes = [(utc >>> 24) & 255, (utc >>> 16) & 255, (utc >>> 8) & 255, utc & 255];
    this.request([16, 0x01, 0x40, 0, 3, 6, ...bytes, 0, 0]);
  }

  /** A short press of the button. */
  press(): void {
    this.device.setButton(true);
    this.device.run(this.device.micros + MICROS / 5);
    this.device.setButton(false);
  }

  /** A long press: work light. */
  longPress(): void {
    this.device.setButton(true);
    this.device.run(this.device.micros + 2 * MICROS);
    this.device.setButton(false);
  }

  /** Takes over every whole record that the log memory holds now. */
  readLog(): void {
    this.device.run(this.device.micros + MICROS);
    const { log } = this.device.memories;
    for (let at = 0; at < log.length; at += RECORD_BYTES) {
      const raw = log.slice(at, at + RECORD_BYTES);
      const record = decodeRecord(raw);
      if (record) this.read.set(record.sequence, raw);
    }
  }

  /** The records read so far, in order. */
  records(): LogRecord[] {
    return [...this.read].sort(([a], [b]) => a - b).map(([, raw]) => sure(decodeRecord(raw)));
  }
}
