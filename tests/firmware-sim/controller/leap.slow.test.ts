import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { DeviceImage } from '../../../firmware-sim/device.ts';
import type { SimulatedDevice } from '../../../firmware-sim/simulated-device.ts';
import { itemAt } from '../../../shared/assert.ts';
import type { Table } from '../../../shared/table.ts';
import { ask, DAILY, flash, pass, SECOND, startedDevice } from './host.ts';

const TABLE: Table = {
  ...DAILY,
  changes: [{ minute: 1440 + 61, quarters: 4 }],
  patterns: [
    {
      start: 10,
      continuous: false,
      segments: [
        { length: 5, level: 16 },
        { length: 200, level: 7 },
      ],
    },
    { start: 1400, continuous: true, segments: [{ length: 30, level: 16 }] },
  ],
  tracks: [[{ kind: 'cycle', days: 200, period: 1, patterns: [0, 1, 63] }]],
  bindings: [
    { outputs: 0b101, track: 0, startDay: 0, steadyQuarters: undefined },
    { outputs: 0b110, track: 0, startDay: 1, steadyQuarters: -14 },
  ],
  limits: { dwellSeconds: 40, longestOnMinutes: 90 },
  visits: {
    zoneCount: 3,
    groups: [
      {
        entries: [
          { kind: 'look', at: 30, from: 0, form: 'every', every: 1, count: 9 },
          { kind: 'harvest', at: 700, from: 0, form: 'open', days: 2 },
        ],
        bindings: [{ startDay: 0, zones: 5 }],
      },
    ],
  },
  pulse: { sound: true, light: true, hours: [[20, 45]] },
  room: { low: 20 * 16, high: 25 * 16 },
};

interface Happening {
  readonly after: number;
  readonly what: number;
}

const HAPPENINGS: ((device: SimulatedDevice) => void)[] = [
  (device) => device.setProbe(undefined),
  (device) => device.setProbe(22 * 16),
  (device) => device.setProbe(27 * 16),
  (device) => ask(device, [15, 0, 0, 0, 3, 1, 5]),
  (device) => ask(device, [5, 0, 8, 0xff, 0]),
  (device) => device.openPort(),
  (device) => device.setTrouble('supply low', true),
  (device) => device.setTrouble('supply low', false),
  (device) => device.setTrouble('clock silent', true),
  (device) => device.setTrouble('clock silent', false),
  (device) => device.setTrouble('log silent', true),
  (device) => device.setTrouble('log silent', false),
  (device) => device.setTrouble('tick silent', true),
  (device) => device.setTrouble('tick silent', false),
];

/** Lives through the happenings; `step` 0 leaps as far as it can, else runs in steps of so many seconds. */
function live(happenings: readonly Happening[], step: number): { image: DeviceImage; changes: string[] } {
  const device = startedDevice();
  flash(device, TABLE);
  const changes: string[] = [];
  device.onLevels = (utc, levels) => changes.push(`${utc} ${levels}`);
  for (const { after, what } of happenings) {
    if (step === 0) pass(device, after);
    else for (let left = after; left > 0; left -= step) pass(device, Math.min(step, left));
    itemAt(HAPPENINGS, what)(device);
  }
  device.run(device.micros + SECOND);
  return { image: device.save(), changes };
}

describe('leaping over quiet seconds', () => {
  it('gives what processing each second gives, to the byte of the saved world', () => {
    const happening = fc.record({
      after: fc.integer({ min: 1, max: 12_000 }),
      what: fc.integer({ min: 0, max: HAPPENINGS.length - 1 }),
    });
    fc.assert(
      fc.property(fc.array(happening, { minLength: 3, maxLength: 14 }), (happenings) => {
        const leapt = live(happenings, 0);
        const walked = live(happenings, 1);
        expect(leapt.changes).toEqual(walked.changes);
        expect(JSON.stringify(leapt.image)).toBe(JSON.stringify(walked.image));
      }),
      { numRuns: 10 },
    );
  });
});
