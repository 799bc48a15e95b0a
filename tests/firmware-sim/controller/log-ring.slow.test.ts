import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { LOG_BYTES, PAGE_BYTES } from '../../../shared/log.ts';
import { EXCEPTION, LOG_BLOCKS, STATUS } from '../../../shared/registers.ts';
import { ask, long, pass, read, recordNames, records, SECOND, startedDevice, status } from './host.ts';

const newest = (device: SimulatedDevice): number => long(status(device), STATUS.logNewest);

/** Begins or ends the work light: one record. */
function oneRecord(device: SimulatedDevice): void {
  const on = (itemAt(sure(ask(device, [1, 0, 8, 0, 1])), 2) & 1) === 1;
  ask(device, [5, 0, 8, on ? 0 : 0xff, 0]);
}

describe('the log ring', () => {
  it('keeps the last 240 records over laps, in order, each at its place', () => {
    const device = startedDevice();
    for (let count = 0; count < 530; count++) oneRecord(device);
    const all = records(device);
    expect(newest(device)).toBe(532);
    expect(all.map(({ sequence }) => sequence)).toEqual(Array.from({ length: 240 }, (_, i) => 293 + i));
    // log-format.md: the pair (s even, s + 1) lies in page (s >> 1) mod 120, s first.
    const page = device.memories.log.subarray((265 % 120) * PAGE_BYTES, (265 % 120) * PAGE_BYTES + 32);
    expect([itemAt(page, 0) | (itemAt(page, 1) << 8), itemAt(page, 16) | (itemAt(page, 17) << 8)]).toEqual([
      530, 531,
    ]);
    // A lone even record waits in scratch.
    expect(device.memories.log[(120 + (266 % 8)) * PAGE_BYTES]).toBe(532 & 0xff);
  });

  it('gives blocks by number, 0xFF where there is no record', () => {
    const device = startedDevice();
    for (let count = 0; count < 20; count++) oneRecord(device);
    const first = read(device, LOG_BLOCKS, 122);
    expect(first[1]).toBe(0);
    expect(first.slice(2, 10)).toEqual(Array(8).fill(0xffff));
    expect(itemAt(first, 10) >> 8).toBe(1);
    expect(read(device, LOG_BLOCKS + 0x80, 3)[1]).toBe(1);
    expect(read(device, LOG_BLOCKS + 5 * 0x80, 122).slice(1)).toEqual([5, ...Array(120).fill(0xffff)]);
  });

  it('loses at most the record under way when a page tears, and never gives a number twice', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: 2 ** 31 - 1 }),
        fc.integer({ min: 0, max: 260 }),
        fc.array(fc.integer({ min: 0, max: 12_000 }), { minLength: 1, maxLength: 6 }),
        (seed, count, cuts) => {
          const device = startedDevice(undefined, seed);
          for (let done = 0; done < count; done++) oneRecord(device);
          for (const cut of cuts) {
            const before = records(device);
            device.setButton(true);
            device.run(device.micros + 1_500_000 + cut);
            device.setButton(false);
            device.setPower(false);
            pass(device, 1);
            device.setPower(true);
            pass(device, 1);
            const after = records(device);
            const known = before.filter(({ sequence }) => sequence > newest(device) - 240);
            for (const record of known) expect(after).toContainEqual(record);
            const numbers = after.map(({ sequence }) => sequence);
            expect(new Set(numbers).size).toBe(numbers.length);
          }
        },
      ),
      { numRuns: 25 },
    );
  });

  it('writes a pair again whose even half was torn in the ring', () => {
    const device = startedDevice();
    oneRecord(device);
    expect(newest(device)).toBe(3);
    pass(device, 1);
    const whole = device.memories.log.slice(PAGE_BYTES, 2 * PAGE_BYTES);
    device.setPower(false);
    device.memories.log.fill(0xff, PAGE_BYTES, PAGE_BYTES + 9);
    device.setPower(true);
    pass(device, 1);
    expect(device.memories.log.slice(PAGE_BYTES, 2 * PAGE_BYTES)).toEqual(whole);
  });

  it('takes nothing for a record in a memory of noise', () => {
    fc.assert(
      fc.property(fc.uint8Array({ minLength: LOG_BYTES, maxLength: LOG_BYTES }), (noise) => {
        const device = startedDevice();
        device.setPower(false);
        device.memories.log.set(noise);
        device.setPower(true);
        pass(device, 1);
        expect(records(device)[0]).toMatchObject({ sequence: 1, type: 'boot' });
      }),
      { numRuns: 5 },
    );
  });

  it('says so when the memory does not answer, and goes on when it does again', () => {
    const device = startedDevice();
    device.setTrouble('log silent', true);
    oneRecord(device);
    expect(ask(device, [4, 0x40, 0, 0, 1])).toEqual([0x84, EXCEPTION.failure]);
    pass(device, 61);
    device.setTrouble('log silent', false);
    pass(device, 61);
    oneRecord(device);
    expect(recordNames(device)).toEqual(['boot', 'fault+7', 'fault-5', 'workLight']);
    device.run(device.micros + SECOND);
  });
});
