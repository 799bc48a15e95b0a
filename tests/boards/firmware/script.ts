/**
 * Random courses of events for comparing controllers: a table with visits,
 * limits and a room, and acts that fall in the middle of seconds.
 */

import fc from 'fast-check';
import { crc16 } from '../../../shared/crc.ts';
import { HOLDING } from '../../../shared/registers.ts';
import type { Table, VisitEntry } from '../../../shared/table.ts';
import { civilDay } from '../../../shared/units.ts';
import { scheduleTable } from '../../firmware-sim/controller/arbitrary.ts';
import type { Act } from '../../firmware-sim/controller/vectors.ts';

const SECOND = 1_000_000;
const DAY = 86_400;
const BASE = 9500;

const minute = fc.oneof(fc.constantFrom(0, 480, 1080, 1439), fc.integer({ min: 0, max: 1439 }));
const days = fc.integer({ min: 1, max: 9 });

const entry: fc.Arbitrary<VisitEntry> = fc.oneof(
  fc.record({
    kind: fc.constantFrom('look' as const, 'lift' as const, 'turn' as const),
    at: minute,
    from: fc.integer({ min: 0, max: 3 }),
    form: fc.constant('every' as const),
    every: fc.integer({ min: 1, max: 4 }),
    count: days,
  }),
  fc.record({
    kind: fc.constantFrom('look' as const, 'lift' as const),
    at: minute,
    from: fc.integer({ min: 0, max: 3 }),
    form: fc.constant('weekdays' as const),
    mask: fc.integer({ min: 1, max: 127 }),
    days,
  }),
  fc.record({
    kind: fc.constant('harvest' as const),
    at: minute,
    from: fc.integer({ min: 0, max: 3 }),
    form: fc.constant('open' as const),
    days,
  }),
);

const group = (zoneCount: number) =>
  fc.record({
    // One entry a kind, so that no zone has two visits of one kind due on one day.
    entries: fc.uniqueArray(entry, { minLength: 1, maxLength: 3, selector: ({ kind }) => kind }),
    bindings: fc
      .tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: 1, max: (1 << zoneCount) - 1 }))
      .map(([startDay, zones]) => [{ startDay, zones }]),
  });

const visits = fc
  .constantFrom(3, 4, 10)
  .chain((zoneCount) => group(zoneCount).map((only) => ({ zoneCount, groups: [only] })));

/** A table with everything a table can have. */
export const scriptTable: fc.Arbitrary<Table> = fc
  .record({
    schedule: scheduleTable,
    dwellSeconds: fc.constantFrom(0, 3, 20),
    longestOnMinutes: fc.constantFrom(0, 1, 45),
    visits: fc.option(visits, { nil: undefined }),
    pulse: fc.constantFrom(undefined, { sound: true, light: true, hours: [[480, 1260]] as const }),
    low: fc.constantFrom(undefined, 320),
    outputs: fc.integer({ min: 1, max: 63 }),
  })
  .map(({ schedule, dwellSeconds, longestOnMinutes, visits: wanted, pulse, low, outputs }) => ({
    ...schedule,
    bindings: schedule.bindings.map((binding) => ({ ...binding, outputs })),
    limits: { dwellSeconds, longestOnMinutes },
    visits: wanted,
    pulse,
    room: low === undefined ? undefined : { low, high: low + 64 },
    baseDay: civilDay(BASE),
  }));

const words = (...values: number[]): number[] =>
  values.flatMap((value) => [(value >> 8) & 0xff, value & 0xff]);

function framed(contents: number[]): string {
  const bytes = Uint8Array.of(1, ...contents);
  const crc = crc16(bytes);
  return Buffer.from([...bytes, crc & 0xff, crc >> 8]).toString('hex');
}

const write = (address: number, ...values: number[]): string =>
  framed([16, ...words(address, values.length), 2 * values.length, ...words(...values)]);

type Step = (utc: number) => object[];
const one =
  (what: object): Step =>
  () => [what];
const request = (frame: string): Step => one({ receive: frame });

/** What can be done, each a small number of acts. */
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 3, arbitrary: fc.constant<Step>(() => [{ button: true }, { button: false }]) },
  fc.constant<Step>(() => [{ button: true }, {}, {}, {}, { button: false }]),
  {
    weight: 2,
    arbitrary: fc
      .tuple(fc.integer({ min: 0, max: 8 }), fc.boolean())
      .map(([coil, on]) => request(framed([5, ...words(coil, on ? 0xff00 : 0)]))),
  },
  fc.integer({ min: 0, max: 63 }).map((values) => request(framed([15, ...words(0, 6), 1, values]))),
  fc.integer({ min: 0, max: 63 }).map((values): Step => {
    const again = { receive: framed([15, ...words(0, 6), 1, values]) };
    return () => [again, {}, again, {}, {}, again];
  }),
  fc.constantFrom(0, 1, 15, 720).map((minutes) => request(write(HOLDING.handMinutes, minutes))),
  fc
    .tuple(fc.integer({ min: 0, max: 3 }), fc.integer({ min: 1, max: 15 }), fc.integer({ min: 0, max: 1 }))
    .map(([kind, zones, what]) => request(write(HOLDING.visit, kind, zones, what))),
  fc.constantFrom(-7200, -100, -20, 15, 110, 600, 90_000, -200_000).map(
    (by): Step =>
      (utc) => [{ receive: write(HOLDING.clock, Math.floor((utc + by) / 65_536), (utc + by) % 65_536, 0) }],
  ),
  fc.constant<Step>(() => [{ openPort: true }]),
  fc.constant<Step>(() => [{ power: false }, {}, { power: true }]),
  fc.constantFrom(300, 320, 368, 390, 400, -20).map((probe) => one({ probe })),
  fc.constant(one({ probe: null })),
  fc.constantFrom(0x0000, 0x1000, 0x4000).map((address) => request(framed([4, ...words(address, 42)]))),
  fc.constantFrom(0x0172).map((address) => request(write(address, 0x1234, 0x5678))),
  fc.constantFrom(899, 1_010, 1_100, 1_210, 1_301).map((mV) => request(write(HOLDING.reference, mV))),
  fc
    .tuple(
      fc.constantFrom('clock silent', 'log silent', 'bus held', 'supply low', 'probe silent'),
      fc.boolean(),
    )
    .map(([trouble, on]) => one({ trouble, on })),
);

/** A course of events. */
export interface Script {
  readonly utc: number;
  readonly clockRight: boolean;
  readonly acts: readonly Act[];
  readonly until: number;
}

const waits = fc.constantFrom(3, 70, 130, 1000, 3600, 7300, 20_000, 50_000, 90_000, 2 * DAY);

/** Random acts, each in the middle of a second, with times between them from seconds to days. */
export const scriptActs: fc.Arbitrary<Script> = fc
  .record({
    begin: fc.integer({ min: 0, max: 2 * DAY }),
    clockRight: fc.constantFrom(true, true, true, false),
    steps: fc.array(fc.tuple(waits, step), { minLength: 3, maxLength: 14 }),
  })
  .map(({ begin, clockRight, steps }) => {
    const utc = BASE * DAY + begin;
    const acts: Act[] = [];
    let at = SECOND / 2;
    for (const [wait, make] of steps) {
      at += wait * SECOND;
      for (const what of make(utc + Math.floor(at / SECOND))) {
        if (Object.keys(what).length > 0) acts.push({ at, ...what } as Act);
        at += SECOND;
      }
    }
    return { utc, clockRight, acts, until: at + 90_000 * SECOND };
  });
