/** Starts after a long time without power, and at any moment of a second. */

import { describe, expect, it } from 'vitest';
import { makeSimulatedDevice } from '../../../../firmware-sim/simulated-device.ts';
import { sure } from '../../../../shared/assert.ts';
import { STATUS } from '../../../../shared/registers.ts';
import type { Table } from '../../../../shared/table.ts';
import { encodeTable } from '../../../../shared/table-encode.ts';
import { utcSeconds } from '../../../../shared/units.ts';
import { BOARDS } from '../../../support/boards.ts';
import { DAILY, records, START, status } from '../../controller/host.ts';
import { chip } from './chip.ts';

const SECOND = 1_000_000;
const DAY = 86_400;
const NOON = START + 12 * 3600;

/** Four zones, each with its own visits: a look and a turn a day, a lift a week. */
const BUSY: Table = {
  ...DAILY,
  visits: {
    zoneCount: 4,
    groups: [
      {
        entries: [
          { kind: 'look', at: 600, from: 0, form: 'every', every: 1, count: 250 },
          { kind: 'lift', at: 660, from: 0, form: 'every', every: 7, count: 40 },
          { kind: 'turn', at: 720, from: 0, form: 'every', every: 1, count: 250 },
        ],
        bindings: [1, 2, 4, 8].map((zones, startDay) => ({ startDay, zones })),
      },
    ],
  },
};

describe('the chip', () => {
  const { bytes: table } = encodeTable(BUSY);

  it.each([13, 60, 150])('starts once after %i days off, and tells of the visits', (days) => {
    const options = { utc: utcSeconds(NOON), clockRight: true, probe: 368, table };
    const device = chip(options);
    const other = makeSimulatedDevice({ board: sure(BOARDS['mega328-relay8']), ...options });
    for (const one of [device, other]) {
      one.run(70.5 * SECOND);
      one.setPower(false);
      one.run((days * DAY + 0.5) * SECOND);
      one.setPower(true);
      one.run((days * DAY + 30.5) * SECOND);
    }
    const told = records(device);
    expect(told.filter(({ type }) => type === 'boot')).toHaveLength(2);
    expect(told).toEqual(records(other));
    expect([...device.levels]).toEqual(Array(8).fill(255));
  });

  it('shows the right second after a restart at any part of one', () => {
    const device = chip({ utc: utcSeconds(NOON), table });
    device.run(10.5 * SECOND);
    for (let part = 0; part < 20; part++) {
      device.run((20 + 7 * part + part / 20) * SECOND);
      device.openPort();
      device.run((24 + 7 * part + 0.5) * SECOND);
      const { utc } = device;
      expect(status(device)[STATUS.seconds + 1], `${part}/20`).toBe(utc % 65_536);
    }
  });
});
