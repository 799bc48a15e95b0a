import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { timeFromRegisters, timeRegisters } from '../../../firmware-sim/clock-registers.ts';
import { makeSimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import {
  clockRegisters,
  clockSecondAt,
  microsOfSecond,
  runningClock,
} from '../../../firmware-sim/world/battery-clock.ts';
import { erasedEeprom, writeByte } from '../../../firmware-sim/world/eeprom.ts';
import { settle, tear } from '../../../firmware-sim/world/memory.ts';
import { drive, restingRelays } from '../../../firmware-sim/world/relays.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc8, crc16, crc32 } from '../../../shared/crc.ts';
import { utcSeconds } from '../../../shared/units.ts';
import { board, DAILY, DAY, flash, isSimulated, pass, SECOND, START, startedDevice } from './host.ts';

describe('checksums', () => {
  it('give the check values of the CRC catalogue over "123456789"', () => {
    // Greg Cook's catalogue of parametrised CRC algorithms, "check" entries.
    const digits = new TextEncoder().encode('123456789');
    expect(crc32(digits)).toBe(0xcbf43926);
    expect(crc16(digits)).toBe(0x4b37);
    expect(crc8(digits)).toBe(0xa1);
  });
});

describe('the EEPROM', () => {
  it('takes 3.4 ms a byte, one after another', () => {
    const eeprom = erasedEeprom();
    writeByte(eeprom, 0, 1, 0);
    writeByte(eeprom, 1, 2, 0);
    writeByte(eeprom, 2, 0xff, 0);
    settle(eeprom, 3_399);
    expect([...eeprom.physical.subarray(0, 3)]).toEqual([0xff, 0xff, 0xff]);
    settle(eeprom, 3_400);
    expect([...eeprom.physical.subarray(0, 3)]).toEqual([1, 0xff, 0xff]);
    settle(eeprom, 6_800);
    expect([...eeprom.physical.subarray(0, 3)]).toEqual([1, 2, 0xff]);
    expect(eeprom.queue).toEqual([]);
  });

  it('tears only the byte under way: before, erased, partly or written', () => {
    const seen = new Set<number>();
    for (let seed = 1; seed < 400; seed++) {
      const eeprom = erasedEeprom();
      writeByte(eeprom, 0, 0x0f, 0);
      settle(eeprom, 3_400);
      writeByte(eeprom, 0, 0x30, 3_400);
      writeByte(eeprom, 1, 0x00, 3_400);
      tear(eeprom, { state: seed * 7919 });
      seen.add(itemAt(eeprom.physical, 0));
      expect(eeprom.physical[1]).toBe(0xff);
      // A half-erased or half-written byte has more bits set, never fewer.
      const torn = itemAt(eeprom.physical, 0);
      expect((torn & 0x0f) === 0x0f || (torn & 0x30) === 0x30).toBe(true);
    }
    for (const end of [0x0f, 0xff, 0x30]) expect(seen).toContain(end);
    expect(seen.size).toBeGreaterThan(3);
  });
});

describe('the battery clock', () => {
  it('keeps BCD registers for every second of the century', () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 36_525 * DAY - 1 }), (utc) => {
        expect(timeFromRegisters(timeRegisters(utc))).toBe(utc);
      }),
    );
    // 2026-03-02T13:45:59Z, a Monday.
    expect([...timeRegisters(START + 13 * 3600 + 45 * 60 + 59)]).toEqual([
      0x59, 0x45, 0x13, 1, 0x02, 0x03, 0x26,
    ]);
    expect(timeFromRegisters([0, 0, 0, 1, 0x31, 0x02, 0x26])).toBeUndefined();
  });

  it('drifts, and finds the microsecond at which each second begins', () => {
    const clock = runningClock(START, 20, false);
    // 20 ppm over a week: 12.096 s.
    expect(clockSecondAt(clock, 7 * DAY * SECOND)).toBe(START + 7 * DAY + 12);
    for (const second of [1, 59, 60, 86_400, 5_000_000]) {
      const micros = microsOfSecond(clock, START + second);
      expect(clockSecondAt(clock, micros)).toBe(START + second);
      expect(clockSecondAt(clock, micros - 1)).toBe(START + second - 1);
    }
    expect(clockRegisters(clock, 0)[0x0f]).toBe(0);
  });
});

describe('relays', () => {
  it('count switching on and off, not dimming', () => {
    const relays = restingRelays();
    expect(drive(relays, [255, 0, 0, 0, 0, 0, 0, 0])).toBe(true);
    expect(drive(relays, [128, 9, 0, 0, 0, 0, 0, 0])).toBe(true);
    expect(drive(relays, [128, 9, 0, 0, 0, 0, 0, 0])).toBe(false);
    drive(relays, [0, 9, 0, 0, 0, 0, 0, 0]);
    expect([...relays.operations]).toEqual([2, 1, 0, 0, 0, 0, 0, 0]);
  });
});

if (isSimulated())
  describe('a saved world', () => {
    it('goes on as if it had not been saved', () => {
      const device = startedDevice();
      flash(device, DAILY);
      for (const seconds of [31_000, 12, 50_000]) {
        pass(device, seconds);
        // In the middle of a frame.
        device.receive(Uint8Array.of(1, 4, 0));
        device.run(device.micros + 700);
        const image = JSON.parse(JSON.stringify(device.save()));
        const other = makeSimulatedDevice({ board: board(), utc: utcSeconds(0), image });
        for (const one of [device, other]) {
          one.receive(Uint8Array.of(0, 0, 42, 0x70, 0x15));
          pass(one, 1000);
        }
        expect(other.save()).toEqual(device.save());
        expect(other.takeSent()).toEqual(device.takeSent());
        expect(other.levels).toEqual(device.levels);
      }
    });

    it('fits only its own board', () => {
      const image = startedDevice().save();
      const make = () => makeSimulatedDevice({ board: board('mega328-dim6'), utc: utcSeconds(0), image });
      expect(make).toThrow('not a simulated mega328-dim6');
    });
  });
