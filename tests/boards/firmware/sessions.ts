/**
 * Sessions by chance between a host and a controller that has a hard time: whole
 * and broken flashes, every command with values at and beyond its limits,
 * presses, cuts, troubles, and memories damaged while the power is off.
 *
 * Always holds: a step does the same to every device, and takes the same time.
 */

import fc from 'fast-check';
import type { Trouble } from '../../../firmware-sim/device.ts';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { crc16 } from '../../../shared/crc.ts';
import { RECORD_BYTES, RING_RECORDS } from '../../../shared/log.ts';
import { HOLDING, WORK_LIGHT_COIL } from '../../../shared/registers.ts';
import { civilDay } from '../../../shared/units.ts';
import { scheduleTable } from '../../firmware-sim/controller/arbitrary.ts';
import { hex } from '../../firmware-sim/controller/vectors.ts';
import { scriptTable } from './script.ts';
import {
  exchange,
  FAULTS,
  flash,
  framed,
  REQUEST_MICROS,
  read,
  SECOND,
  words,
  write,
} from './session-flash.ts';

const EEPROM_BYTES = 1024;
const LOG_BYTES = 4096;
/** The day on which the tables of `script.ts` begin. */
export const BASE = 9500;

/** Does something to a device; gives what the host saw of it. */
export type Step = (device: SimulatedDevice) => string;

const one = <Value>(values: readonly Value[]): fc.Arbitrary<Value> => fc.constantFrom(...values);
const upTo = (max: number): fc.Arbitrary<number> => fc.integer({ min: 0, max });

/** A step by chance; the name and what was drawn are how a failing session is printed. */
function step<Drawn>(
  name: string,
  drawn: fc.Arbitrary<Drawn>,
  act: (device: SimulatedDevice, drawn: Drawn) => string | undefined,
): fc.Arbitrary<Step> {
  return drawn.map((value) =>
    Object.assign((device: SimulatedDevice) => act(device, value) ?? '', {
      [fc.toStringMethod]: () => `${name} ${JSON.stringify(value)}`,
    }),
  );
}

const edge = one([0, 1, 2, 7, 8, 9, 15, 16, 255, 256, 720, 721, 899, 900, 1100, 1300, 1301, 0x7fff, 0xffff]);

/** Commands of one register, with values at and beyond their limits (protocol.md). The unit number stays 1. */
const single = fc.oneof(
  ...(
    [
      [HOLDING.begin, [14, 15, 440, 441]],
      [HOLDING.handMinutes, [0, 1, 10, 720, 721]],
      [HOLDING.reference, [899, 900, 1100, 1300, 1301]],
      [HOLDING.unit, [0, 1, 100, 248, 0x0101]],
      [HOLDING.giveUp, [0, 1, 2, 3, 0xffff]],
    ] as const
  ).map(([address, values]) =>
    step(`write ${address}`, one<number>(values), (device, value) => write(device, address, [value])),
  ),
);

/** Other values, and more or fewer of them than the command takes. */
const command = step(
  'write',
  fc.tuple(
    one([
      ...[HOLDING.begin, HOLDING.giveUp, HOLDING.handMinutes, HOLDING.reference, HOLDING.identity],
      ...[HOLDING.visit, HOLDING.commit, HOLDING.confirm, HOLDING.table, HOLDING.table + 100],
    ]),
    fc.array(edge, { minLength: 1, maxLength: 5 }),
  ),
  (device, [address, values]) => write(device, address, values),
);

const visit = step('visit', fc.tuple(upTo(4), upTo(0x3ff), upTo(2)), (device, values) =>
  write(device, HOLDING.visit, values),
);

function setClock(device: SimulatedDevice, utc: number, sub: number, unit = 1): string {
  const values = [Math.floor(utc / 65_536), utc % 65_536, sub];
  return exchange(device, [16, ...words(HOLDING.clock, 3), 6, ...words(...values)], unit);
}

/** A clock setting: near, far, and where there is no date. */
const clock = step(
  'clock by',
  fc.tuple(
    one([-200_000, -7200, -121, -120, -1, 0, 1, 119, 120, 121, 7200, 90_000]),
    one([0, 128, 255, 256]),
  ),
  (device, [by, sub]) => setClock(device, device.utc + by, sub),
);
/** 2000-01-01, the last seconds of that year and of 2099, and what no clock holds: all refused. */
const noClock = step(
  'clock at',
  one([0, 86_399, 366 * 86_400 - 1, 3_155_759_999, 0xffffffff]),
  (device, utc) => setClock(device, utc, 0),
);

const reading = step(
  'read',
  fc.tuple(
    one([3, 4]),
    one([
      ...[0, 1, 41, 0x100, 0x1ff, 0x1000, 0x1079, 0x11ff, 0x1200, 0x2000, 0x3fff],
      ...[0x1180, 0x11ff, 0x4000, 0x4080, 0x4100, 0xbf80, 0xbfff, 0xc000, 0xffff],
    ]),
    one([1, 2, 42, 122, 125, 0, 126]),
  ),
  (device, [code, address, count]) => read(device, code, address, count),
);

const coils = fc.oneof(
  step('work light', one([0xff00, 0xff00, 0]), (device, value) => {
    const switched = exchange(device, [5, ...words(WORK_LIGHT_COIL, value)]);
    return switched + exchange(device, [1, ...words(0, 9)]);
  }),
  step('coil', fc.tuple(upTo(9), one([0xff00, 0, 1, 0xff01, 0x0100])), (device, [coil, value]) =>
    exchange(device, [5, ...words(coil, value)]),
  ),
  step('read coils', fc.tuple(upTo(9), one([0, 1, 6, 8, 9, 10, 2000, 2001])), (device, [coil, count]) =>
    exchange(device, [1, ...words(coil, count)]),
  ),
  step(
    'coils',
    fc.tuple(upTo(9), one([1, 6, 8, 9, 10]), upTo(511), one([0, 0, 0, 1])),
    (device, [coil, count, values, more]) => {
      const size = Math.ceil(count / 8) + more;
      const data = [values & 0xff, values >> 8, 0].slice(0, size);
      return exchange(device, [15, ...words(coil, count), size, ...data]);
    },
  ),
);

/** Frames that ask for nothing sensible, or are for others. */
const odd = fc.oneof(
  step('identify', fc.tuple(one([13, 14, 14, 14]), upTo(5), upTo(4)), (device, values) =>
    exchange(device, [43, ...values]),
  ),
  step('function', one([2, 7, 8, 11, 17, 22, 23, 24, 0x83]), (device, code) =>
    exchange(device, [code, 0, 0, 0, 1]),
  ),
  step('unit', one([0, 2, 247]), (device, unit) => exchange(device, [4, 0, 0, 0, 1], unit)),
  step('clock of all by', one([0, 1]), (device, by) => setClock(device, device.utc + by, 0, 0)),
  step('register', fc.tuple(one([HOLDING.handMinutes, HOLDING.reference, 0x300]), edge), (device, values) =>
    exchange(device, [6, ...words(...values)]),
  ),
  step('register of all', one([1, 5]), (device, minutes) =>
    exchange(device, [16, ...words(HOLDING.handMinutes, 1), 2, ...words(minutes)], 0),
  ),
  step('bytes that do not fit', fc.tuple(one([1, 2, 17]), one([2, 4, 34, 255])), (device, [count, size]) =>
    exchange(device, [16, ...words(HOLDING.table, count), size, ...new Array<number>(size).fill(7)]),
  ),
  step('two at once', upTo(1), (device) => {
    const frame = framed([16, ...words(HOLDING.identity, 2), 4, 1, 2, 3, 4]);
    device.receive(frame);
    device.run(device.micros + 12_000);
    device.receive(frame);
    device.run(device.micros + REQUEST_MICROS);
    return hex(device.takeSent());
  }),
  step('long, with a pause', one([30, 41, 42, 60]), (device, size) => {
    device.receive(Uint8Array.from({ length: size }, () => 1));
    device.run(device.micros + 260 * size + 3000);
    device.receive(framed([4, 0, 0, 0, 1]));
    device.run(device.micros + REQUEST_MICROS);
    return hex(device.takeSent());
  }),
  step('noise', fc.uint8Array({ minLength: 1, maxLength: 300 }), (device, bytes) => {
    device.receive(bytes);
    device.run(device.micros + REQUEST_MICROS);
    return hex(device.takeSent());
  }),
);

/** All but a silent tick: how long one or two ticks are missed before it is noticed is each program's own. */
const TROUBLES: readonly Trouble[] = [
  ...(['clock stopped', 'clock silent', 'bus held', 'log silent', 'probe silent', 'supply low'] as const),
];

const world = fc.oneof(
  step('trouble', fc.tuple(one(TROUBLES), fc.boolean()), (device, [trouble, on]) => {
    device.setTrouble(trouble, on);
    return undefined;
  }),
  step('log silent while it is read', one([0x4000, 0x4080]), (device, address) => {
    device.setTrouble('log silent', true);
    const said = read(device, 4, address, 8) + read(device, 4, 0, 42);
    device.setTrouble('log silent', false);
    return said;
  }),
  step('press for', one([0, 2, 3, 5]), (device, seconds) => {
    device.setButton(true);
    device.run(device.micros + seconds * SECOND + SECOND / 4);
    device.setButton(false);
    return undefined;
  }),
  step('probe', one([null, -20, 300, 368, 400, 1360, 700, 5000]), (device, probe) => {
    device.setProbe(probe ?? undefined);
    return undefined;
  }),
  step('cut for', one([0, 90, 4000]), (device, seconds) => {
    device.setPower(false);
    device.run(device.micros + seconds * SECOND);
    device.setPower(true);
    return undefined;
  }),
  step('reset', one(['external', 'watchdog'] as const), (device, cause) => {
    device.reset(cause);
    return undefined;
  }),
);

type Spot = readonly [where: string, at: number, value: number];

function spoil({ eeprom, log }: SimulatedDevice['memories'], [where, at, value]: Spot): void {
  if (where === 'marks 0') eeprom[at % 8] = value;
  else if (where === 'marks 1') eeprom[448 + (at % 8)] = value;
  else if (where === 'slots') eeprom[at % 896] = value;
  else if (where === 'settings') eeprom[896 + (at % (EEPROM_BYTES - 896))] = value;
  else if (where === 'log') log[at % LOG_BYTES] = value;
  else if (where === 'log record') log.fill(0xff, 16 * (at % 256), 16 * (at % 256) + 16);
  else log.fill(value, 32 * (at % 128), 32 * (at % 128) + 32);
}

/** Bytes of EEPROM or log changed while there is no power: worn cells, a torn page, another's memory. */
const damage = step(
  'damage',
  fc.tuple(
    fc.array(
      fc.tuple(
        one(['marks 0', 'marks 1', 'slots', 'settings', 'log', 'log record', 'log page']),
        fc.nat(),
        upTo(255),
      ),
      { minLength: 1, maxLength: 4 },
    ),
    fc.boolean(),
  ),
  (device, [spots, low]) => {
    device.setPower(false);
    for (const spot of spots) spoil(device.memories, spot);
    device.setTrouble('supply low', low);
    device.setPower(true);
    device.run(device.micros + 2 * SECOND);
    device.setTrouble('supply low', false);
    return read(device, 4, 0, 42);
  },
);

/**
 * A log that was written elsewhere, whole or with gaps, over one lap or more of the ring. Its memory
 * has scratch pages of its own: what waited in ours went with the old one. Its numbers stop short of
 * the last one of 24 bits, which no board reaches: there the core goes on at 0, the simulated one not.
 */
const otherLog = step(
  'log of another',
  fc.tuple(
    one([1, 2, 100, 238, 239, 240, 241, 479, 480, 65_520, 65_536, 0xff_fb00]),
    one([1, 2, 30, 239, 240]),
    upTo(20),
    one([0, 3, 9, 13, 14, 63]),
  ),
  (device, [first, count, gap, type]) => {
    device.setPower(false);
    device.memories.log.fill(0xff, 16 * RING_RECORDS);
    for (let sequence = first; sequence < first + count; sequence++) {
      if (gap > 0 && sequence % gap === 0) continue;
      const at = 16 * (sequence % RING_RECORDS);
      device.memories.log.set(anyRecord(sequence, sequence % 7 === 0 ? type : 3), at);
    }
    device.setPower(true);
    device.run(device.micros + 2 * SECOND);
    return read(device, 4, 0, 42) + read(device, 4, 0x4000, 122);
  },
);

/** A record's bytes with a right CRC (log-format.md), of any type and of the first day of the tables. */
function anyRecord(sequence: number, type: number): Uint8Array {
  const bytes = new Uint8Array(RECORD_BYTES);
  const view = new DataView(bytes.buffer);
  view.setUint32(0, sequence | (type << 24), true);
  view.setUint32(4, type < 3 ? BASE : BASE * 86_400 + (sequence % 1000), true);
  view.setUint16(RECORD_BYTES - 2, crc16(bytes.subarray(0, -2)), true);
  return bytes;
}

/** Some time, and what indicator and buzzer show in the quarters of two seconds after it. */
const wait = step('wait', one([1, 1, 5, 20, 65, 130, 130, 700, 3700, 8000, 40_000]), (device, seconds) => {
  device.run(device.micros + seconds * SECOND);
  return Array.from({ length: 8 }, () => {
    device.run(device.micros + SECOND / 4);
    return `${Number(device.signals.indicator)}${Number(device.signals.buzzer)}`;
  }).join();
});

/** The same wall clock in every table: a flash that moves the day is a matter of its own. */
const CLOCK = { baseDay: civilDay(BASE), initialQuarters: -20, changes: [] } as const;

const flashing = step('flash', fc.tuple(fc.oneof(scriptTable, scheduleTable), one(FAULTS)), (device, drawn) =>
  flash(device, { ...drawn[0], ...CLOCK }, drawn[1]),
);

/** A session: many steps, one after the other. */
export const session: fc.Arbitrary<readonly Step[]> = fc.array(
  fc.oneof(
    { weight: 5, arbitrary: flashing },
    { weight: 4, arbitrary: single },
    { weight: 3, arbitrary: command },
    { weight: 3, arbitrary: visit },
    { weight: 3, arbitrary: clock },
    { weight: 1, arbitrary: noClock },
    { weight: 3, arbitrary: reading },
    { weight: 4, arbitrary: coils },
    { weight: 4, arbitrary: odd },
    { weight: 7, arbitrary: world },
    { weight: 2, arbitrary: damage },
    { weight: 1, arbitrary: otherLog },
    { weight: 8, arbitrary: wait },
  ),
  { minLength: 20, maxLength: 60 },
);
