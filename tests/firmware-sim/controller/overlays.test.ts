import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { HOLDING, STATUS } from '../../../shared/registers.ts';
import type { Table } from '../../../shared/table.ts';
import {
  ask,
  DAILY,
  flash,
  pass,
  records,
  runTo,
  SECOND,
  START,
  startedDevice,
  status,
  write,
} from './host.ts';

const TWO = { ...DAILY, bindings: [{ ...itemAt(DAILY.bindings, 0), outputs: 0b11 }] };

/** A device that ran `table` until `utc`; changes are then collected, seconds from `utc`. */
function watched(table: Table, utc: number): { device: SimulatedDevice; changes: string[] } {
  const device = startedDevice();
  flash(device, table);
  runTo(device, utc);
  const changes: string[] = [];
  device.onLevels = (at, levels) => changes.push(`${at - utc} ${levels.map((level) => level && 1).join('')}`);
  return { device, changes };
}

const on = (device: SimulatedDevice): string => device.levels.map((level) => level && 1).join('');
const coil = (device: SimulatedDevice, number: number, value: boolean) =>
  ask(device, [5, 0, number, value ? 0xff : 0, 0]);

describe('hand switching', () => {
  it('of one coil acts at once and ends by itself after the minutes set', () => {
    const { device, changes } = watched(TWO, START + 3600);
    expect(write(device, HOLDING.handMinutes, [2])).toBe(0);
    coil(device, 4, true);
    expect(on(device)).toBe('00001000');
    pass(device, 200);
    expect(changes).toEqual(['0 00001000', '120 00000000']);
    expect(records(device).slice(-2)).toMatchObject([
      { type: 'hand', time: START + 3600, outputs: 0x10, level: 255, minutes: 2, staggered: 0 },
      { type: 'handEnd', time: START + 3720, outputs: 0x10, why: 0 },
    ]);
  });

  it('of several coils acts one second after another, against the table too', () => {
    const { device, changes } = watched(TWO, START + 10 * 3600);
    expect(on(device)).toBe('11000000');
    write(device, HOLDING.handMinutes, [1]);
    // Outputs 1 to 4: off, on, on, on.
    ask(device, [15, 0, 0, 0, 4, 1, 0b1110]);
    pass(device, 100);
    expect(changes).toEqual([
      '0 01000000',
      '2 01100000',
      '3 01110000',
      '60 11110000',
      '62 11010000',
      '63 11000000',
    ]);
    expect(records(device).slice(-6)).toMatchObject([
      { type: 'hand', outputs: 0b1110, level: 255, staggered: 1 },
      { type: 'hand', outputs: 0b0001, level: 0, staggered: 1 },
      { type: 'handEnd', time: START + 36_060, outputs: 1 },
      { type: 'handEnd', time: START + 36_061, outputs: 2 },
      { type: 'handEnd', time: START + 36_062, outputs: 4 },
      { type: 'handEnd', time: START + 36_063, outputs: 8 },
    ]);
  });

  it('written again as it is goes on without a gap, and with one record, to an end of its own', () => {
    const { device, changes } = watched(TWO, START + 3600);
    write(device, HOLDING.handMinutes, [2]);
    for (let again = 0; again < 8; again++) {
      ask(device, [15, 0, 2, 0, 3, 1, 7]);
      pass(device, 50);
    }
    coil(device, 3, true);
    pass(device, 200);
    const began = records(device).findLastIndex(({ type }) => type === 'hand');
    expect(changes.slice(0, 3)).toEqual(['2 00100000', '3 00110000', '4 00111000']);
    expect(changes).toHaveLength(6);
    expect(records(device).slice(began)).toMatchObject([
      { type: 'hand', time: START + 3600, outputs: 0b11100, minutes: 2, staggered: 1 },
      { type: 'handEnd', outputs: 0b00100 },
      { type: 'handEnd', outputs: 0b10000 },
      { type: 'handEnd', outputs: 0b01000 },
    ]);
  });

  it('written otherwise, or after its release, is told anew', () => {
    const { device } = watched(TWO, START + 3600);
    for (const on of [true, false, true]) coil(device, 4, on);
    write(device, HOLDING.handMinutes, [0]);
    coil(device, 4, true);
    expect(records(device).filter(({ type }) => type === 'hand')).toHaveLength(4);
  });

  it('is released on request, output after output, with one record', () => {
    const { device, changes } = watched(TWO, START + 3600);
    ask(device, [15, 0, 0, 0, 3, 1, 7]);
    pass(device, 20);
    write(device, HOLDING.handMinutes, [0]);
    pass(device, 20);
    expect(changes.slice(-3)).toEqual(['20 01100000', '21 00100000', '22 00000000']);
    expect(records(device).at(-1)).toMatchObject({ type: 'handEnd', outputs: 7, why: 1 });
    expect(status(device)[STATUS.overlayLeft]).toBe(0);
  });

  it('goes on over an external reset and ends with the power', () => {
    const { device } = watched(TWO, START + 3600);
    coil(device, 7, true);
    device.openPort();
    expect(on(device)).toBe('00000000');
    pass(device, 12);
    expect(on(device)).toBe('00000001');
    device.setPower(false);
    pass(device, 1);
    device.setPower(true);
    pass(device, 30);
    expect(on(device)).toBe('00000000');
  });
});

describe('the work light', () => {
  it('lights the bound outputs for ten minutes, one second after another', () => {
    const { device, changes } = watched(TWO, START + 3600);
    device.setButton(true);
    pass(device, 2);
    device.setButton(false);
    pass(device, 700);
    expect(changes).toEqual(['2 10000000', '3 11000000', '602 01000000', '603 00000000']);
    expect(records(device).slice(-2)).toMatchObject([
      { type: 'workLight', begins: 1, seconds: 600, time: START + 3602 },
      { type: 'workLight', begins: 0, seconds: 0, time: START + 4202 },
    ]);
  });

  it('is ended by the next long press', () => {
    const { device } = watched(TWO, START + 3600);
    coil(device, 8, true);
    pass(device, 10);
    expect(on(device)).toBe('11000000');
    device.setButton(true);
    pass(device, 5);
    device.setButton(false);
    expect(on(device)).toBe('00000000');
    expect(records(device).at(-1)).toMatchObject({ type: 'workLight', begins: 0 });
  });
});

describe('the wait after a restart', () => {
  it('keeps output n off until 2 + (n − 1) s after the first second', () => {
    const { device, changes } = watched(DAILY, START + 10 * 3600);
    device.setPower(false);
    pass(device, 10);
    device.setPower(true);
    pass(device, 30);
    // Power at 10 s, the program 65 ms later, in the clock's second 10.
    const risen = Array.from({ length: 8 }, (_, n) => `${12 + n} ${'1'.repeat(n + 1).padEnd(8, '0')}`);
    expect(changes).toEqual(['0 00000000', ...risen]);
  });
});

describe('dwell and longest-on', () => {
  const limited = (dwellSeconds: number, longestOnMinutes: number): Table => ({
    ...TWO,
    limits: { dwellSeconds, longestOnMinutes },
  });

  it('keeps an output that has just switched', () => {
    const { device, changes } = watched(limited(30, 0), START + 3600);
    coil(device, 0, true);
    pass(device, 10);
    coil(device, 0, false);
    pass(device, 5);
    coil(device, 0, true);
    pass(device, 1);
    coil(device, 0, false);
    pass(device, 100);
    expect(changes).toEqual(['0 10000000', '30 00000000']);
  });

  it('switches off at the limit, logs it, and holds until the target has been off', () => {
    const { device, changes } = watched(limited(0, 60), START + 7 * 3600);
    pass(device, 4 * 3600);
    expect(changes).toEqual(['3600 10000000', '3601 11000000', '7200 01000000', '7201 00000000']);
    expect(records(device).at(-1)).toMatchObject({ type: 'fault', fault: 9, entered: 1, detail: 1 });
    pass(device, 21.5 * 3600);
    expect(on(device)).toBe('11000000');
    device.run(device.micros + SECOND);
  });
});
