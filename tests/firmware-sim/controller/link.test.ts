import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import { EXCEPTION, FIRMWARE_REVISION, HOLDING, STATUS } from '../../../shared/registers.ts';
import { MARK_BYTES } from '../../../shared/storage.ts';
import { ask, DAILY, flash, pass, read, runTo, START, startedDevice, status, write } from './host.ts';

/** Bytes of a frame to `unit`, CRC added. */
function frame(unit: number, ...contents: number[]): Uint8Array {
  const crc = crc16(Uint8Array.of(unit, ...contents));
  return Uint8Array.of(unit, ...contents, crc & 0xff, crc >> 8);
}

/** All bytes sent within a second of receiving `bytes`. */
function answer(device: SimulatedDevice, bytes: Uint8Array): number[] {
  device.takeSent();
  device.receive(bytes);
  pass(device, 1);
  return [...device.takeSent()];
}

describe('frames', () => {
  it("carry the CRC of the specification's example, low byte first", () => {
    // Modbus over serial line V1.02, 6.2.2 (from memory): 02 07 has CRC 1241, sent as 41 12.
    expect([...frame(2, 7)]).toEqual([0x02, 0x07, 0x41, 0x12]);
    // A widely printed request (from memory): 11 03 006B 0003 has 76 87.
    expect([...frame(0x11, 3, 0, 0x6b, 0, 3)].slice(-2)).toEqual([0x76, 0x87]);
  });

  it("have the shapes of the specification's examples", () => {
    // Application protocol V1.1b3, 6.1 to 6.12 (shapes from memory): byte count, echo, address and count.
    const device = startedDevice();
    pass(device, 10);
    expect(ask(device, [1, 0, 0, 0, 9])).toEqual([1, 2, 0, 0]);
    expect(ask(device, [5, 0, 2, 0xff, 0])).toEqual([5, 0, 2, 0xff, 0]);
    expect(ask(device, [1, 0, 0, 0, 8])).toEqual([1, 1, 4]);
    expect(ask(device, [6, 0x01, 0x50, 0, 30])).toEqual([6, 0x01, 0x50, 0, 30]);
    expect(ask(device, [3, 0x01, 0x50, 0, 1])).toEqual([3, 2, 0, 30]);
    expect(ask(device, [15, 0, 3, 0, 2, 1, 3])).toEqual([15, 0, 3, 0, 2]);
    expect(ask(device, [16, 0x01, 0x72, 0, 2, 4, 1, 2, 3, 4])).toEqual([16, 0x01, 0x72, 0, 2]);
    expect(ask(device, [3, 0x01, 0x72, 0, 2])).toEqual([3, 4, 1, 2, 3, 4]);
    expect(ask(device, [4, 0, 2, 0, 2])).toEqual([4, 4, 0, 1, 0, 1]);
  });

  it('for another unit, with a wrong CRC, or broken off get no answer', () => {
    const device = startedDevice();
    const good = frame(1, 4, 0, 0, 0, 1);
    expect(answer(device, frame(2, 4, 0, 0, 0, 1))).toEqual([]);
    const bad = Uint8Array.from(good);
    bad[7] = itemAt(bad, 7) ^ 1;
    expect(answer(device, bad)).toEqual([]);
    expect(answer(device, good.subarray(0, 5))).toEqual([]);
    expect(answer(device, good)).toHaveLength(7);
  });

  it('may have a gap inside of less than 5 ms', () => {
    const device = startedDevice();
    const good = frame(1, 4, 0, 0, 0, 1);
    for (const [gap, length] of [
      [4_000, 7],
      [6_500, 0],
    ] as const) {
      device.receive(good.subarray(0, 3));
      device.run(device.micros + 3 * 261 + gap);
      expect(answer(device, good.subarray(3))).toHaveLength(length);
    }
  });

  it('survive any noise: after 5 ms of silence a good request is answered', () => {
    const device = startedDevice();
    const noise = fc.oneof(
      fc.uint8Array({ minLength: 1, maxLength: 300 }),
      fc.uint8Array({ minLength: 1, maxLength: 30 }).map((bytes) => frame(1, ...bytes)),
    );
    fc.assert(
      fc.property(fc.array(noise, { minLength: 1, maxLength: 4 }), (parts) => {
        for (const part of parts) {
          device.receive(part);
          device.run(device.micros + 300_000);
        }
        pass(device, 1);
        device.takeSent();
        const unit = 1;
        expect(answer(device, frame(unit, 4, 0, 2, 0, 1))).toEqual([...frame(unit, 4, 2, 0, 1)]);
      }),
      { numRuns: 300 },
    );
  });
});

describe('identification', () => {
  const object = (id: number, text: string): number[] => [id, text.length, ...Buffer.from(text)];

  it('gives vendor, board and revision', () => {
    const device = startedDevice();
    const objects = [object(0, 'Leanward'), object(1, 'mega328-relay8'), object(2, FIRMWARE_REVISION)];
    expect(ask(device, [43, 14, 1, 0])).toEqual([43, 14, 1, 0x81, 0, 0, 3, ...objects.flat()]);
    expect(ask(device, [43, 14, 4, 1])).toEqual([43, 14, 4, 0x81, 0, 0, 1, ...itemAt(objects, 1)]);
    expect(ask(device, [43, 14, 4, 9])).toEqual([0xab, EXCEPTION.address]);
    expect(ask(device, [43, 14, 7, 0])).toEqual([0xab, EXCEPTION.value]);
    expect(ask(device, [43, 13, 1, 0])).toEqual([0xab, EXCEPTION.function]);
  });
});

describe('exceptions', () => {
  it('tell unknown functions, addresses and values', () => {
    const device = startedDevice(undefined, 1, 'mega328-dim6');
    const cases: [number[], number][] = [
      [[2, 0, 0, 0, 1], EXCEPTION.function],
      [[7], EXCEPTION.function],
      [[1, 0, 0, 0, 10], EXCEPTION.address],
      [[1, 0, 0, 0, 0], EXCEPTION.value],
      [[4, 0xbf, 0xff, 0, 2], EXCEPTION.address],
      [[4, 0, 0, 0, 126], EXCEPTION.value],
      [[3, 0, 0, 0, 1], EXCEPTION.address],
      [[5, 0, 6, 0xff, 0], EXCEPTION.address],
      [[5, 0, 0, 1, 0], EXCEPTION.value],
      [[15, 0, 4, 0, 3, 1, 0], EXCEPTION.address],
      [[15, 0, 0, 0, 3, 2, 0, 0], EXCEPTION.value],
      [[16, 0x01, 0x00, 0, 2, 4, 0, 20, 0, 0], EXCEPTION.address],
      [[16, 0x01, 0x00, 0, 1, 2, 0, 14], EXCEPTION.value],
      [[16, 0x01, 0x00, 0, 1, 2, 1, 185], EXCEPTION.value],
      [[16, 0x20, 0x00, 0, 1, 2, 0, 0], EXCEPTION.value],
      [[16, 0x01, 0x50, 0, 1, 4, 0, 0, 0, 0], EXCEPTION.value],
      [[6, 0x01, 0x50, 0x02, 0xd1], EXCEPTION.value],
      [[6, 0x01, 0x70, 0, 100], EXCEPTION.value],
      [[6, 0x01, 0x30, 0, 9], EXCEPTION.value],
      [[6, 0x01, 0x42, 0, 9], EXCEPTION.address],
      [[16, 0x01, 0x60, 0, 3, 6, 0, 4, 0, 1, 0, 0], EXCEPTION.value],
    ];
    for (const [contents, exception] of cases) {
      expect([contents, ask(device, contents)]).toEqual([contents, [itemAt(contents, 0) | 0x80, exception]]);
    }
    write(device, HOLDING.begin, [33]);
    expect(write(device, HOLDING.table + 16, [1])).toBe(0);
    expect(write(device, HOLDING.table + 17, [1])).toBe(EXCEPTION.address);
  });
});

describe('blocks', () => {
  it('carry session and own address, and may be read from anywhere', () => {
    const device = startedDevice();
    const bytes = flash(device, DAILY);
    const [session, own] = read(device, 0, 2);
    expect(own).toBe(0);
    const block = read(device, 0x1000, 122);
    expect(block.slice(0, 2)).toEqual([session, 0x1000]);
    const got = block.slice(2).flatMap((word) => [word >> 8, word & 0xff]);
    expect(got.slice(MARK_BYTES, MARK_BYTES + bytes.length)).toEqual([...bytes]);
    expect(got.slice(0, 3)).toEqual([0xff, 0xa5, 0x5a]);
    expect(read(device, 0x1080 + 0x200, 2)).toEqual([session, 0x1280]);
    expect(read(device, 0x1000 + 120, 10)).toEqual([...block.slice(120), 0, 0, 0, 0, 0, 0, session, 0x1080]);
    expect(read(device, 0x0800, 3)).toEqual([0, 0, 0]);
    device.openPort();
    pass(device, 2);
    expect(read(device, 0, 1)[0]).not.toBe(session);
  });

  it('show the outputs that are really on', () => {
    const device = startedDevice(undefined, 1, 'mega328-relay4-dim2');
    flash(device, {
      ...DAILY,
      patterns: [{ start: 480, continuous: false, segments: [{ length: 60, level: 4 }] }],
      bindings: [{ outputs: 0x21, track: 0, startDay: 0, steadyQuarters: undefined }],
    });
    runTo(device, START + 480 * 60 + 10);
    const block = status(device);
    expect(block[STATUS.outputs]).toBe(0x21);
    expect(block.slice(STATUS.levels, STATUS.levels + 4)).toEqual([0x4000, 0, 0x0040, 0]);
  });
});
