import { describe, expect, it } from 'vitest';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import type { LogRecord } from '../../../shared/log.ts';
import { EXCEPTION, HOLDING, STATUS } from '../../../shared/registers.ts';
import type { Table, VisitEntry } from '../../../shared/table.ts';
import { DAILY, DAY, flash, pass, records, runTo, START, startedDevice, status, write } from './host.ts';

const [LOOK, LIFT, TURN, HARVEST] = [0, 1, 2, 3];
const HOUR = 3600;

function visiting(entries: VisitEntry[], zones = 0b11, zoneCount = 4): Table {
  return {
    ...DAILY,
    visits: { zoneCount, groups: [{ entries, bindings: [{ startDay: 0, zones }] }] },
    pulse: { sound: true, light: true, hours: [[8 * 60, 21 * 60]] },
  };
}

const EVERY_OTHER: VisitEntry = { kind: 'look', at: 18 * 60, from: 0, form: 'every', every: 2, count: 40 };

/** A device with the table running since START. */
function running(table: Table): SimulatedDevice {
  const device = startedDevice();
  flash(device, table);
  return device;
}

function press(device: SimulatedDevice): void {
  device.setButton(true);
  pass(device, 0.2);
  device.setButton(false);
}

type VisitRecord = Extract<LogRecord, { type: 'visit' }>;

/** Visit records as `kind outcome zones minutes`. */
const told = (device: SimulatedDevice): string[] =>
  records(device)
    .filter((record): record is VisitRecord => record.type === 'visit')
    .map(({ kind, outcome, zones, lateMinutes }) => `${kind} ${outcome} ${zones} ${lateMinutes}`);

describe('a short press', () => {
  it('answers what is due: done before two hours, then late; missed after the window', () => {
    const device = running(visiting([EVERY_OTHER]));
    runTo(device, START + 19 * HOUR + 59 * 60 + 30);
    expect(status(device)[STATUS.due + sure(LOOK)]).toBe(3);
    press(device);
    expect(status(device)[STATUS.due + sure(LOOK)]).toBe(0);
    runTo(device, START + 2 * DAY + 20 * HOUR);
    press(device);
    runTo(device, START + 4 * DAY + 21 * HOUR - 1);
    expect(status(device)[STATUS.due + sure(LOOK)]).toBe(3);
    pass(device, 5);
    expect(told(device)).toEqual(['0 0 3 119', '0 1 3 120', '0 2 3 180']);
    expect(records(device).at(-1)).toMatchObject({ time: START + 4 * DAY + 21 * HOUR });
  });

  it('counts for the coming visit up to half an interval early, once', () => {
    const device = running(visiting([EVERY_OTHER]));
    runTo(device, START + 18 * HOUR + 60);
    press(device);
    // Every second day: from 24 h before the next due instant.
    runTo(device, START + DAY + 18 * HOUR - 60);
    press(device);
    expect(told(device)).toHaveLength(1);
    runTo(device, START + DAY + 18 * HOUR + 1);
    press(device);
    press(device);
    expect(told(device)).toEqual(['0 0 3 1', '0 0 3 -1440']);
    runTo(device, START + 2 * DAY + 22 * HOUR);
    expect(told(device)).toHaveLength(2);
  });

  it('takes half the mean interval of weekdays, and 12 h of a single visit', () => {
    const weekdays: VisitEntry = {
      kind: 'lift',
      at: 600,
      from: 1,
      form: 'weekdays',
      mask: 0b1001000,
      days: 30,
    };
    const once: VisitEntry = { kind: 'turn', at: 1200, from: 20, form: 'once' };
    const device = running(visiting([weekdays, once], 1));
    // Thursdays and Sundays: two a week, so 1.75 days early. START is a Monday.
    runTo(device, START + 3 * DAY + 10 * HOUR - 1.75 * DAY - 5);
    press(device);
    expect(told(device)).toEqual([]);
    pass(device, 10);
    press(device);
    expect(told(device)).toEqual([`${LIFT} 0 1 -2520`]);
    runTo(device, START + 20 * DAY + 8 * HOUR + 1);
    for (let count = 0; count < 3; count++) press(device);
    expect(told(device).at(-1)).toBe(`${TURN} 0 1 -720`);
  });

  it('makes one record of zones that are due at one instant, in order of kind', () => {
    const table: Table = {
      ...visiting([EVERY_OTHER]),
      visits: {
        zoneCount: 4,
        groups: [
          { entries: [{ ...EVERY_OTHER, kind: 'turn' }], bindings: [{ startDay: 0, zones: 0b0100 }] },
          {
            entries: [EVERY_OTHER, { ...EVERY_OTHER, kind: 'lift', at: 17 * 60 }],
            bindings: [
              { startDay: 0, zones: 0b0001 },
              { startDay: 2, zones: 0b1000 },
            ],
          },
        ],
      },
    };
    const device = running(table);
    runTo(device, START + 2 * DAY + 18 * HOUR + 120);
    press(device);
    expect(told(device).slice(-3)).toEqual(['0 0 9 2', '1 0 9 62', '2 0 4 2']);
  });
});

describe('a harvest', () => {
  const harvest: VisitEntry = { kind: 'harvest', at: 18 * 60, from: 1, form: 'open', days: 17 };

  it('reminds weekly and in its last three days; a press answers seen, then done', () => {
    const device = running(visiting([harvest], 1));
    const asks: number[] = [];
    for (let day = 0; day < 18; day++) {
      runTo(device, START + day * DAY + 19 * HOUR);
      if (itemAt(status(device), STATUS.state) & 16) asks.push(day);
    }
    expect(asks).toEqual([1, 8, 15, 16, 17]);
    expect(told(device)).toEqual([]);
    runTo(device, START + 17 * DAY + 21 * HOUR + 60);
    expect(told(device)).toEqual([`3 2 1 ${16 * 1440 + 180}`]);
  });

  it('is seen once a reminder, done in the end, and closes without a record when seen only', () => {
    const device = running(visiting([harvest], 1));
    runTo(device, START + DAY + 19 * HOUR);
    press(device);
    press(device);
    expect(told(device)).toEqual(['3 3 1 60']);
    expect(status(device)[STATUS.due + sure(HARVEST)]).toBe(1);
    runTo(device, START + 18 * DAY);
    expect(told(device)).toEqual(['3 3 1 60']);

    const other = running(visiting([harvest], 1));
    runTo(other, START + 15 * DAY + 20 * HOUR);
    press(other);
    expect(told(other)).toEqual([`3 0 1 ${14 * 1440 + 120}`]);
    runTo(other, START + 19 * DAY);
    expect(told(other)).toHaveLength(1);
  });
});

describe('visits over the link', () => {
  it('are answered by kind and zones, early too, and taken back', () => {
    const device = running(visiting([EVERY_OTHER]));
    runTo(device, START + 18 * HOUR + 60);
    expect(write(device, HOLDING.visit, [sure(LIFT), 3, 0])).toBe(EXCEPTION.value);
    expect(write(device, HOLDING.visit, [sure(LOOK), 2, 0])).toBe(0);
    expect(write(device, HOLDING.visit, [sure(LOOK), 2, 0])).toBe(EXCEPTION.value);
    expect(status(device)[STATUS.due]).toBe(1);
    expect(write(device, HOLDING.visit, [sure(LOOK), 3, 1])).toBe(0);
    expect(status(device)[STATUS.due]).toBe(3);
    expect(write(device, HOLDING.visit, [sure(LOOK), 3, 1])).toBe(EXCEPTION.value);
    expect(told(device)).toEqual(['0 0 2 1', '0 4 2 1']);
  });

  it('close a harvest at any time while it is open; taken back it is open again', () => {
    const harvest: VisitEntry = { kind: 'harvest', at: 18 * 60, from: 0, form: 'open', days: 30 };
    const device = running(visiting([harvest], 1));
    runTo(device, START + 24 * DAY);
    expect(write(device, HOLDING.visit, [sure(HARVEST), 1, 0])).toBe(0);
    expect(status(device)[STATUS.due + sure(HARVEST)]).toBe(0);
    device.openPort();
    pass(device, 3);
    expect(status(device)[STATUS.due + sure(HARVEST)]).toBe(0);
    expect(write(device, HOLDING.visit, [sure(HARVEST), 1, 1])).toBe(0);
    device.openPort();
    pass(device, 3);
    expect(status(device)[STATUS.due + sure(HARVEST)]).toBe(1);
    // 23.25 days do not fit the record's minutes: they stay at the greatest.
    expect(told(device)).toEqual(['3 0 1 32767', '3 4 1 32767']);
  });
});

describe('after a power cut', () => {
  function outage(device: SimulatedDevice, days: number): void {
    device.setPower(false);
    pass(device, days * DAY);
    device.setPower(true);
    pass(device, 1);
  }

  it('windows that ended meanwhile are missed', () => {
    const device = running(visiting([EVERY_OTHER]));
    runTo(device, START + 18 * HOUR + 60);
    press(device);
    pass(device, 1);
    outage(device, 5);
    expect(told(device)).toEqual(['0 0 3 1', `0 2 3 ${3 * 1440 + 1}`, `0 2 3 ${1440 + 1}`]);
    // What was answered is known again: nothing is missed twice.
    outage(device, 0.5);
    expect(told(device)).toHaveLength(3);
  });

  it('of more than 14 days one record tells their number', () => {
    const device = running(visiting([EVERY_OTHER]));
    runTo(device, START + HOUR);
    outage(device, 15);
    expect(told(device)).toEqual([]);
    expect(records(device).at(-1)).toMatchObject({ type: 'visitsPassed', count: 8 });
  });
});

describe('the pulse', () => {
  /** Indicator (1) or buzzer (2) over the coming `quarters`, a digit a quarter. */
  function shown(device: SimulatedDevice, quarters: number): string {
    let text = '';
    for (let quarter = 0; quarter < quarters; quarter++) {
      const { indicator, buzzer } = device.signals;
      text += (indicator ? 1 : 0) + (buzzer ? 2 : 0);
      pass(device, 0.25);
    }
    return text;
  }

  it('blinks by zone, sounds at the due minute and each quarter hour', () => {
    const device = running(visiting([EVERY_OTHER], 0b101));
    // Zone 1: 1 blink, zone 3: 3 blinks: 2 + 4 + 6 + 4 + 8 = 24 quarters.
    const pattern = '10' + '0000' + '101010' + '0000' + '00000000';
    runTo(device, START + 18 * HOUR - 1);
    device.run(Math.ceil(device.micros / 1e6) * 1e6 + 1_000);
    const at = (4 * (device.utc % 24)) % 24;
    const turned = (pattern + pattern).slice(at, at + 24);
    const sound = pattern.replaceAll('1', '2');
    const both = [...turned].map((digit, index) => String(Number(digit) + Number(sound[index])));
    expect(shown(device, 24)).toBe(both.join(''));
    expect(shown(device, 24)).toBe(turned);
    runTo(device, START + 18 * HOUR + 900);
    expect(shown(device, 24)).toMatch(/[23]/);
    press(device);
    // From the next second on.
    device.run(Math.ceil(device.micros / 1e6) * 1e6 + 1_000);
    expect(shown(device, 24)).toBe('0'.repeat(24));
  });

  it('shows no table by light, unknown time by even blinking', () => {
    const device = startedDevice();
    expect(shown(device, 8)).toBe('11111111');
    device.setTrouble('clock stopped', true);
    device.setPower(false);
    device.memories.log.fill(0xff);
    device.setPower(true);
    pass(device, 2);
    device.run(Math.ceil(device.micros / 1e6) * 1e6 + 65_000);
    expect(shown(device, 8)).toMatch(/^(1100|0110|0011|1001)+$/);
  });
});
