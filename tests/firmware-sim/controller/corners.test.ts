/**
 * What protocol.md and behaviour.md say of the corners: the ends of the map, a weak
 * supply, memories and a clock that do not answer, numbers at the end of their range.
 * Held of the simulated controller here, and of the C core in `as-simulated.slow.test.ts`.
 */

import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { crc16 } from '../../../shared/crc.ts';
import type { LogRecord } from '../../../shared/log.ts';
import { EXCEPTION, HOLDING, STATUS } from '../../../shared/registers.ts';
import type { Table, VisitEntry } from '../../../shared/table.ts';
import { encodeTable } from '../../../shared/table-encode.ts';
import {
  ask,
  commit,
  confirm,
  DAILY,
  DAY,
  flash,
  long,
  pass,
  read,
  recordNames,
  records,
  runTo,
  START,
  setClock,
  startedDevice,
  status,
  upload,
  write,
} from './host.ts';

const HOUR = 3600;
const LOOK = 0;

const visiting = (entry: VisitEntry): Table => ({
  ...DAILY,
  visits: { zoneCount: 4, groups: [{ entries: [entry], bindings: [{ startDay: 0, zones: 0b11 }] }] },
  pulse: { sound: true, light: true, hours: [[8 * 60, 21 * 60]] },
});

function running(table: Table): SimulatedDevice {
  const device = startedDevice();
  flash(device, table);
  return device;
}

const visitsTold = (device: SimulatedDevice): number[] =>
  records(device)
    .filter((record): record is Extract<LogRecord, { type: 'visit' }> => record.type === 'visit')
    .map(({ lateMinutes }) => lateMinutes);

describe('the map', () => {
  it('ends at 0xBFFF, at 0x01FF and at 0x20FF, and no address comes round', () => {
    const device = startedDevice();
    const cases: [number[], number][] = [
      [[4, 0xff, 0xff, 0, 2], EXCEPTION.address],
      [[4, 0xff, 0xf0, 0, 125], EXCEPTION.address],
      [[3, 0x01, 0xff, 0, 2], EXCEPTION.address],
      [[3, 0x20, 0xff, 0, 2], EXCEPTION.address],
      [[3, 0x1f, 0xff, 0, 2], EXCEPTION.address],
      [[3, 0xff, 0xff, 0, 2], EXCEPTION.address],
      [[1, 0, 9, 0, 1], EXCEPTION.address],
      [[1, 0xff, 0xff, 0, 2], EXCEPTION.address],
      [[5, 0, 9, 0xff, 0], EXCEPTION.address],
      [[5, 1, 0, 0xff, 0], EXCEPTION.address],
      [[15, 0, 8, 0, 2, 1, 3], EXCEPTION.address],
      [[15, 0, 0, 0, 10, 2, 0xff, 3], EXCEPTION.address],
      [[15, 0, 9, 0, 1, 1, 1], EXCEPTION.address],
    ];
    for (const [contents, exception] of cases) {
      expect([contents, ask(device, contents)]).toEqual([contents, [itemAt(contents, 0) | 0x80, exception]]);
    }
    expect(read(device, 0xbfff, 1)).toEqual([0]);
    expect(read(device, 0x01f0, 16, 3)).toEqual(Array(16).fill(0));
    expect(read(device, 0x20ff, 1, 3)).toEqual([0]);
  });

  it('takes sixteen registers of a table in one request, and no more', () => {
    const device = startedDevice();
    expect(write(device, HOLDING.begin, [100])).toBe(0);
    expect(write(device, HOLDING.table, Array(16).fill(0x1234))).toBe(0);
    expect(write(device, HOLDING.table, Array(17).fill(0x1234))).toBe(EXCEPTION.address);
  });

  it('reads the end of a slot, and 0xFFFF beyond it', () => {
    // 448 bytes a slot: block 1 begins with byte 240, so 104 of its 120 registers are in the slot.
    const block = read(startedDevice(), 0x1080, 122);
    expect(block.slice(2 + 104)).toEqual(Array(16).fill(0xffff));
  });

  it('identifies from the first object where there is none of the number asked for', () => {
    const device = startedDevice();
    const whole = ask(device, [43, 14, 1, 0]);
    expect(ask(device, [43, 14, 1, 7])).toEqual(whole);
    expect(ask(device, [43, 14, 4, 3])).toEqual([0xab, EXCEPTION.address]);
  });

  it('obeys no broadcast but the one that sets the clock', () => {
    const device = startedDevice();
    const frame = (...contents: number[]): Uint8Array => {
      const crc = crc16(Uint8Array.of(0, ...contents));
      return Uint8Array.of(0, ...contents, crc & 0xff, crc >> 8);
    };
    for (const contents of [
      [5, 0, 0, 0xff, 0],
      [16, 0x01, 0x50, 0, 1, 2, 0, 30],
      [4, 0x01, 0x40, 0, 3],
    ]) {
      device.takeSent();
      device.receive(frame(...contents));
      pass(device, 1);
      expect([...device.takeSent()]).toEqual([]);
    }
    expect(read(device, HOLDING.handMinutes, 1, 3)).toEqual([10]);
    expect(status(device)[STATUS.outputs]).toBe(0);
  });
});

describe('a weak supply', () => {
  it('takes nothing that would write: begin, table bytes, confirm and identity are busy', () => {
    const device = startedDevice();
    const { bytes } = encodeTable(DAILY);
    const session = upload(device, bytes);
    expect(commit(device, session, bytes)).toBe(0);
    device.setTrouble('supply low', true);
    expect(confirm(device, session, bytes)).toBe(EXCEPTION.busy);
    expect(write(device, HOLDING.identity, [1, 2])).toBe(EXCEPTION.busy);
    device.setTrouble('supply low', false);
    pass(device, 2);
    expect(confirm(device, session, bytes)).toBe(0);
    expect(write(device, HOLDING.begin, [100])).toBe(0);
    device.setTrouble('supply low', true);
    expect(write(device, HOLDING.table, [1])).toBe(EXCEPTION.busy);
    expect(write(device, HOLDING.begin, [100])).toBe(EXCEPTION.busy);
    expect(read(device, HOLDING.identity, 2, 3)).toEqual([0, 0]);
  });
});

describe('sessions', () => {
  it('come round from 0xFFFF to 1, for 0 is none', () => {
    const utc = START - (START % 0x10000) + 0xffff;
    const device = startedDevice(utc);
    expect(status(device)[STATUS.session]).toBe(0xffff);
    expect(write(device, HOLDING.begin, [20])).toBe(0);
    expect(read(device, HOLDING.begin, 1, 3)).toEqual([1]);
  });
});

describe('parts that do not answer', () => {
  it('a clock that cannot be set is a failure, and time goes on as it was', () => {
    const device = startedDevice();
    pass(device, 5);
    device.setTrouble('clock silent', true);
    expect(setClock(device, START + 30 * DAY)).toBe(EXCEPTION.failure);
    expect(recordNames(device)).not.toContain('clockSet');
    expect(long(status(device), STATUS.seconds)).toBeLessThan(START + HOUR);
  });

  it('a log memory is told missing once, tried again each minute, and its numbers go on', () => {
    const device = startedDevice();
    const before = records(device).length;
    device.setTrouble('log silent', true);
    expect(ask(device, [4, 0x40, 0, 0, 122])).toEqual([0x84, EXCEPTION.failure]);
    pass(device, 3 * 60);
    expect(itemAt(status(device), STATUS.faults) & (1 << 4)).not.toBe(0);
    device.setTrouble('log silent', false);
    pass(device, 62);
    expect(itemAt(status(device), STATUS.faults) & (1 << 4)).toBe(0);
    const names = recordNames(device);
    expect(names.slice(before).filter((name) => name.endsWith('5'))).toEqual(['fault-5']);
    expect(long(status(device), STATUS.logNewest)).toBe(names.length);
  });

  it('nothing without power: no light, no signal, and a reset does nothing', () => {
    const device = running(visiting({ kind: 'look', at: 480, from: 0, form: 'every', every: 1, count: 9 }));
    runTo(device, START + 9 * HOUR);
    device.setPower(false);
    pass(device, 1);
    device.reset('external');
    pass(device, 5);
    expect([...device.levels]).toEqual(Array(8).fill(0));
    expect(device.signals).toEqual({ indicator: false, buzzer: false });
    device.setPower(true);
    pass(device, 2);
    expect(status(device)[STATUS.bootCause]).not.toBe(4);
  });
});

describe('numbers at the end of their range', () => {
  const SPARSE: VisitEntry = { kind: 'look', at: 18 * 60, from: 60, form: 'every', every: 60, count: 3 };

  it('minutes late are kept within an i16: a visit answered thirty days early says −32768', () => {
    // 29 days and 18 hours are 42,840 minutes; half of every 60 days is 30.
    const device = running(visiting(SPARSE));
    runTo(device, START + 31 * DAY);
    expect(write(device, HOLDING.visit, [LOOK, 0b11, 0])).toBe(0);
    expect(visitsTold(device)).toEqual([-32768]);
  });

  it('an answer is taken back within seven days, and not after', () => {
    const device = running(visiting({ ...SPARSE, from: 1, every: 40 }));
    runTo(device, START + DAY + 19 * HOUR);
    expect(write(device, HOLDING.visit, [LOOK, 0b11, 0])).toBe(0);
    runTo(device, START + 8 * DAY + 18 * HOUR);
    expect(write(device, HOLDING.visit, [LOOK, 0b01, 1])).toBe(0);
    runTo(device, START + 8 * DAY + 20 * HOUR);
    expect(write(device, HOLDING.visit, [LOOK, 0b10, 1])).toBe(EXCEPTION.value);
  });

  it('a room hotter than a record can say is told as 63.5 °C', () => {
    // Halves of a degree are kept within ±127 (behaviour.md, section 8).
    const device = running(DAILY);
    device.setProbe(80 * 16);
    runTo(device, START + 26 * HOUR);
    const proof = records(device).find((record) => record.type === 'proof');
    expect(proof).toMatchObject({ max: 127 });
  });

  it('the work light begun anew lasts ten minutes from then', () => {
    const device = running(DAILY);
    runTo(device, START + 2 * HOUR);
    expect(write(device, HOLDING.handMinutes, [10])).toBe(0);
    ask(device, [5, 0, 8, 0xff, 0]);
    pass(device, 300);
    expect(itemAt(status(device), STATUS.outputs)).toBe(0xff);
    ask(device, [5, 0, 8, 0xff, 0]);
    pass(device, 580);
    expect(itemAt(status(device), STATUS.outputs)).toBe(0xff);
    pass(device, 40);
    expect(itemAt(status(device), STATUS.outputs)).toBe(0);
  });
});
