import { describe, expect, it } from 'vitest';
import { makeSimulatedDevice, type SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import { FAULT } from '../../../shared/log.ts';
import { EXCEPTION, STATUS, TIME_FLAG } from '../../../shared/registers.ts';
import { utcSeconds } from '../../../shared/units.ts';
import {
  ask,
  board,
  DAILY,
  DAY,
  flash,
  isSimulated,
  long,
  pass,
  recordNames,
  records,
  runTo,
  START,
  setClock,
  startedDevice,
  status,
} from './host.ts';

const HOUR = 3600;
const clock = (device: SimulatedDevice): number => long(status(device), STATUS.seconds);
const flags = (device: SimulatedDevice): number => itemAt(status(device), STATUS.timeFlags);
const hasFault = (device: SimulatedDevice, fault: number): boolean =>
  (itemAt(status(device), STATUS.faults) & (1 << (fault - 1))) !== 0;

/** A device that ran DAILY until `utc`. */
function running(utc: number): SimulatedDevice {
  const device = startedDevice();
  flash(device, DAILY);
  runTo(device, utc);
  return device;
}

function restart(device: SimulatedDevice, off = 10): void {
  device.setPower(false);
  pass(device, off);
  device.setPower(true);
  pass(device, 2);
}

describe('time never set', () => {
  it('is unknown: all off, fault 1, until the host sets it', () => {
    const device = makeSimulatedDevice({ board: board(), utc: utcSeconds(START + 10 * HOUR) });
    pass(device, 1);
    expect(flags(device) & TIME_FLAG.known).toBe(0);
    expect(hasFault(device, FAULT.clockStopped)).toBe(true);
    flash(device, DAILY);
    pass(device, 30);
    expect([...device.levels]).toEqual(Array(8).fill(0));
    expect(setClock(device, device.utc)).toBe(0);
    pass(device, 8);
    expect([...device.levels]).toEqual(Array(8).fill(255));
    expect(flags(device)).toBe(TIME_FLAG.known);
    expect(recordNames(device).slice(-2)).toEqual(['clockSet', 'fault-1']);
    // Set at the wall of a stopped clock: the flag stays down over a power cut.
    restart(device);
    expect(flags(device)).toBe(TIME_FLAG.known);
  });
});

describe('a clock that lost its time', () => {
  it('gives way to the newest record when it is behind it', () => {
    const device = running(START + 10 * HOUR + 42);
    device.setTrouble('clock stopped', true);
    restart(device, 20 * HOUR);
    // The alarm registers went with the battery: the newest record is the confirmation of START.
    expect(flags(device)).toBe(TIME_FLAG.known | TIME_FLAG.estimated);
    expect(clock(device) - START).toBeLessThan(10);
    expect(clock(device) - START).toBeGreaterThanOrEqual(0);
    expect(records(device).at(-1)).toMatchObject({ type: 'fault', fault: 1, estimated: true });
    expect(setClock(device, device.utc)).toBe(0);
    expect(flags(device)).toBe(TIME_FLAG.known);
    expect(records(device).find(({ type }) => type === 'clockSet')).toMatchObject({ estimated: false });
  });
});

if (isSimulated())
  describe('a clock that says it stopped', () => {
    /** Seconds from `last` that a restarted controller shows when its clock is `ahead` of it, flag up. */
    function shown(ahead: number): number {
      const device = running(START + 10 * HOUR);
      device.setPower(false);
      const image = structuredClone(device.save());
      const stored = image.data.clock as { stopped: boolean; clockMicros: number; setAt: number };
      stored.stopped = true;
      stored.clockMicros = (START + 10 * HOUR + ahead) * 1_000_000;
      stored.setAt = device.micros;
      const other = makeSimulatedDevice({ board: board(), utc: utcSeconds(0), image });
      other.setPower(true);
      pass(other, 1);
      expect(flags(other)).toBe(TIME_FLAG.known | TIME_FLAG.estimated);
      return clock(other) - (START + 10 * HOUR);
    }

    it('is believed up to 40 days after the last-alive minute, and never before it', () => {
      expect(shown(39 * DAY)).toBe(39 * DAY + 1);
      expect(shown(41 * DAY)).toBeLessThan(2);
      expect(Math.abs(shown(-HOUR))).toBeLessThan(2);
    });
  });

describe('a bus whose line is held low', () => {
  it('is told within a second, and in the log once it is let go', () => {
    const device = running(START + 10 * HOUR + 20);
    pass(device, 0.4);
    const before = records(device).length;
    const since = clock(device);
    device.setTrouble('bus held', true);
    pass(device, 1);
    const faults = itemAt(status(device), STATUS.faults);
    expect(faults & (1 << (FAULT.clockMissing - 1))).not.toBe(0);
    expect(flags(device)).toBe(TIME_FLAG.known | TIME_FLAG.estimated);
    pass(device, 100);
    device.setTrouble('bus held', false);
    pass(device, 60);
    const told = records(device).slice(before);
    expect(told).toMatchObject([
      { type: 'fault', fault: FAULT.logMissing, entered: 0, detail: START + 10 * HOUR + 59 },
      { type: 'fault', fault: FAULT.clockStopped, entered: 0, detail: since },
      { type: 'fault', fault: FAULT.clockMissing, entered: 0, detail: since },
    ]);
  });
});

describe('the outage', () => {
  it('is told in minutes since the last-alive minute', () => {
    const device = running(START + 10 * HOUR + 42);
    restart(device, 600);
    expect(records(device).at(-1)).toMatchObject({ type: 'boot', cause: 1, outageMinutes: 10, resets: 0 });
    expect(status(device)[STATUS.outage]).toBe(10);
    device.openPort();
    pass(device, 2);
    expect(status(device)[STATUS.outage]).toBe(10);
    expect(status(device)[STATUS.bootCause]).toBe(4);
  });
});

describe('steps of the clock', () => {
  it('catch up to 120 s forward without a gap in light', () => {
    const device = running(START + 7 * HOUR + 58 * 60);
    expect(setClock(device, device.utc + 119)).toBe(0);
    expect(device.levels[0]).toBe(0);
    pass(device, 2);
    expect(device.levels[0]).toBe(255);
    pass(device, 2 * DAY);
    const proofs = records(device).filter(({ type }) => type === 'proof');
    expect(proofs.map(({ partial }) => partial)).toEqual([true, false]);
  });

  it('wait when up to 120 s back', () => {
    const device = running(START + 8 * HOUR - 30);
    setClock(device, device.utc - 100);
    pass(device, 50);
    expect(device.levels[0]).toBe(0);
    pass(device, 81);
    expect(device.levels[0]).toBe(255);
    expect(records(device).at(-1)).toMatchObject({ type: 'clockSet', forward: -100 });
  });

  it('are large beyond that: the day is broken, overlays move along', () => {
    const device = running(START + 2 * HOUR);
    ask(device, [5, 0, 7, 0xff, 0]);
    pass(device, 60);
    setClock(device, device.utc + DAY);
    expect(recordNames(device).slice(-3)).toEqual(['light', 'proof', 'clockSet']);
    expect(records(device).at(-2)).toMatchObject({ partial: true });
    pass(device, 500);
    expect(device.levels[7]).toBe(255);
    pass(device, 60);
    expect(device.levels[7]).toBe(0);
    setClock(device, device.utc - 30 * DAY);
    pass(device, 5);
    expect(flags(device)).toBe(TIME_FLAG.known);
  });

  it('round to a whole second, and refuse what the clock cannot keep', () => {
    const device = startedDevice();
    setClock(device, START + 500, 127);
    expect(clock(device)).toBe(START + 500);
    setClock(device, START + 500, 128);
    expect(clock(device)).toBe(START + 501);
    expect(setClock(device, START, 256)).toBe(EXCEPTION.value);
    expect(setClock(device, 36_525 * DAY)).toBe(EXCEPTION.value);
  });

  it('obey a broadcast without an answer', () => {
    const device = startedDevice();
    const data = [(START + 900) >>> 16, (START + 900) & 0xffff, 0];
    const contents = [16, 0x01, 0x40, 0, 3, 6, ...data.flatMap((word) => [word >> 8, word & 0xff])];
    expect(ask(device, contents, 1, 0)).toBeUndefined();
    expect(clock(device) - (START + 900)).toBeLessThan(3);
  });
});

describe('a broken day', () => {
  const proofs = (device: SimulatedDevice): [number, boolean][] =>
    records(device).flatMap((record) =>
      record.type === 'proof' ? [[record.day - START / DAY, record.partial]] : [],
    );

  it('is one with a large step in it', () => {
    const device = running(START + DAY + 5 * HOUR);
    setClock(device, device.utc + HOUR);
    pass(device, 2 * DAY);
    expect(proofs(device)).toEqual([
      [0, true],
      [1, true],
      [2, false],
    ]);
  });

  it('is one that a table of another zone begins', () => {
    const device = running(START + DAY + 20 * HOUR);
    flash(device, { ...DAILY, digest: 8, initialQuarters: 40 });
    pass(device, 2 * DAY);
    expect(proofs(device)).toEqual([
      [0, true],
      [1, false],
      [2, true],
      [3, false],
    ]);
  });
});

describe('a restart that finds another time', () => {
  it('lets the outputs wait from the new second', () => {
    const device = makeSimulatedDevice({ board: board(), utc: utcSeconds(START), probe: 23 * 16 });
    pass(device, 200);
    device.setTrouble('clock silent', true);
    device.openPort();
    pass(device, 2);
    // Time was unknown and starts again from 0, 200 s back.
    expect(clock(device)).toBeLessThan(5);
    ask(device, [5, 0, 7, 0xff, 0]);
    expect(device.levels[7]).toBe(0);
    pass(device, 10);
    expect(device.levels[7]).toBe(255);
  });
});

describe('troubles of the clock while running', () => {
  it('silent: time carries on, estimated, and is right again when it answers', () => {
    const device = running(START + 7 * HOUR);
    device.setTrouble('clock silent', true);
    pass(device, 2 * HOUR);
    expect(device.levels[0]).toBe(255);
    expect(hasFault(device, FAULT.clockMissing)).toBe(true);
    expect(flags(device)).toBe(TIME_FLAG.known | TIME_FLAG.estimated);
    expect(setClock(device, device.utc)).toBe(EXCEPTION.failure);
    device.setTrouble('clock silent', false);
    pass(device, 61);
    expect(flags(device)).toBe(TIME_FLAG.known);
    expect(recordNames(device).slice(-4)).toEqual(['fault+1', 'fault+2', 'fault-1', 'fault-2']);
  });

  it('silent at a start: goes on from the log, then takes the clock when it answers', () => {
    const device = running(START + 7 * HOUR);
    device.setTrouble('clock silent', true);
    restart(device);
    expect(clock(device) - START).toBeLessThan(10);
    expect(flags(device)).toBe(TIME_FLAG.known | TIME_FLAG.estimated);
    device.setTrouble('clock silent', false);
    pass(device, 61);
    expect(clock(device)).toBe(device.utc);
    expect(flags(device)).toBe(TIME_FLAG.known);
  });

  it('without a tick: the clock is read each second', () => {
    const device = running(START + 8 * HOUR - 10);
    device.setTrouble('tick silent', true);
    pass(device, 20);
    expect(device.levels[7]).toBe(255);
    expect(hasFault(device, FAULT.tickLost)).toBe(true);
    device.setTrouble('tick silent', false);
    pass(device, 2);
    expect(recordNames(device).slice(-2)).toEqual(['fault+3', 'fault-3']);
  });
});

describe('the room', () => {
  it('tells a missing probe after three minutes, and a room outside its band after 120', () => {
    const device = startedDevice();
    flash(device, { ...DAILY, room: { low: 21 * 16, high: 27 * 16 } });
    device.setProbe(undefined);
    pass(device, 170);
    expect(hasFault(device, FAULT.probeMissing)).toBe(false);
    pass(device, 20);
    expect(hasFault(device, FAULT.probeMissing)).toBe(true);
    device.setProbe(28 * 16 + 4);
    pass(device, 119 * 60);
    expect(hasFault(device, FAULT.roomOutside)).toBe(false);
    pass(device, 120);
    expect(records(device).at(-1)).toMatchObject({
      type: 'fault',
      fault: 8,
      entered: 1,
      detail: 28 * 16 + 4,
    });
    device.setProbe(22 * 16);
    pass(device, 61);
    expect(records(device).at(-1)).toMatchObject({ type: 'fault', fault: 8, entered: 0 });
    device.setProbe(30 * 16);
    pass(device, 30 * 60);
    device.setProbe(-5 * 16 - 2);
    pass(device, DAY);
    const proof = records(device).find(({ type }) => type === 'proof');
    expect(proof).toMatchObject({ type: 'proof', min: -10, max: 60 });
  });
});

describe('a fault', () => {
  it('that comes back within the hour is present but not logged; later it is again', () => {
    const device = running(START + HOUR);
    const probeLost = (minutes: number): void => {
      device.setProbe(undefined);
      pass(device, minutes * 60);
      expect(hasFault(device, FAULT.probeMissing)).toBe(true);
      device.setProbe(23 * 16);
      pass(device, 60);
    };
    const told = (): number =>
      recordNames(device).filter((name) => name.startsWith('fault') && name.endsWith('4')).length;
    probeLost(10);
    expect(told()).toBe(2);
    probeLost(30);
    expect(told()).toBe(2);
    pass(device, 30 * 60);
    probeLost(10);
    expect(told()).toBe(4);
  });
});
