/**
 * What always holds for the blocks of whole grows: they lie inside the photoperiods they
 * are anchored to, do not overlap, keep the load, last long enough, and are the same
 * every time. Checked on random racks and on the samples.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { checkLight } from '../../../compiler/checks/light.ts';
import { collect } from '../../../compiler/findings/collector.ts';
import { lightField } from '../../../compiler/light/field.ts';
import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import type { Block, DayBlocks } from '../../../compiler/steer/block.ts';
import { toBlocks } from '../../../compiler/steer/blocks.ts';
import { chooseDay, steerDays } from '../../../compiler/steer/choose.ts';
import type { DayDemands } from '../../../compiler/timeline/demand.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { degrees, lux, minutes } from '../../../shared/units.ts';
import { ofCode } from '../../support/findings.ts';
import {
  batch,
  batchZone,
  day,
  dayOf,
  daysOf,
  demand,
  hold,
  LEFT,
  pantry,
  plan,
  shelf,
  stage,
  strip,
  tower,
  wireRack,
  zone,
} from '../light/rack.ts';

const steer = (made: ResolvedPlan, days: readonly DayDemands[]): readonly DayBlocks[] =>
  steerDays(made, lightField(made), days).days;

/** Checks all that must hold for one day's blocks. */
function checkDay(demands: DayDemands, { day: on, blocks }: DayBlocks): void {
  expect(on).toBe(demands.day);
  blocks.forEach((block, n) => {
    const fits = demands.demands.some(
      ({ start, length, clock }) =>
        start === block.anchor &&
        clock === block.clock &&
        block.from >= 0 &&
        block.from + block.length <= length,
    );
    expect(fits, `${JSON.stringify(block)} lies in no photoperiod`).toBe(true);
    expect(block.length).toBeGreaterThan(0);
    expect(block.level).toBeGreaterThanOrEqual(1);
    expect(block.level).toBeLessThanOrEqual(16);
    const next = blocks[n + 1];
    if (next === undefined) return;
    const order = (one: Block): number[] => [one.controller, one.output, one.anchor, one.from];
    expect(compare(order(block), order(next))).toBeLessThanOrEqual(0);
    if (compare(order(block).slice(0, 3), order(next).slice(0, 3)) !== 0 || block.clock !== next.clock)
      return;
    const end = block.from + block.length;
    expect(next.from).toBeGreaterThanOrEqual(block.level === next.level ? end + 1 : end);
  });
}

const compare = (a: readonly number[], b: readonly number[]): number => {
  const at = a.findIndex((value, i) => value !== b[i]);
  return at < 0 ? 0 : itemAt(a, at) - itemAt(b, at);
};

/** Runs of burning of one output over the days, in absolute wall minutes, touching blocks joined. */
function runs(days: readonly DayBlocks[], key: (block: Block) => boolean): [number, number][] {
  const all = days
    .flatMap(({ day: on, blocks }) =>
      blocks.filter(key).map((block): [number, number] => {
        const from = on * 1440 + block.anchor + block.from;
        return [from, from + block.length];
      }),
    )
    .sort((a, b) => a[0] - b[0]);
  const joined: [number, number][] = [];
  for (const run of all) {
    const last = joined.at(-1);
    if (last !== undefined) expect(run[0]).toBeGreaterThanOrEqual(last[1]);
    if (last !== undefined && last[1] === run[0]) last[1] = run[1];
    else joined.push([...run]);
  }
  return joined;
}

const randomDemands = fc.array(
  fc.record({
    start: fc.integer({ min: 0, max: 95 }).map((quarter) => quarter * 15),
    length: fc.integer({ min: 4, max: 64 }).map((quarter) => quarter * 15),
    side: fc.constantFrom(0, 90, 180, 270, 'upright' as const),
    off: fc.integer({ min: 0, max: 14 }),
  }),
  { minLength: 4, maxLength: 4 },
);

describe('on random days of the pantry racks', () => {
  it('blocks lie in their photoperiods, in order, apart, long enough, and the same twice', () => {
    const racks = (['screened', 'open'] as const).map((kind) => {
      const made = pantry(kind);
      return { made, field: lightField(made) };
    });
    fc.assert(
      fc.property(fc.constantFrom(0, 1), randomDemands, (which, asks) => {
        const { made, field } = itemAt(racks, which);
        const first = day('2026-05-04');
        const days = [0, 1, 2].map(
          (n): DayDemands =>
            dayOf(
              (first + n) as typeof first,
              // Some zones start a few minutes off the quarter, so that short cells arise.
              asks.map(({ start, length, side, off }, zone) =>
                demand({
                  zone,
                  start: minutes(start + off),
                  length: minutes(length),
                  side: side === 'upright' ? side : degrees(side),
                }),
              ),
            ),
        );
        const found = steerDays(made, field, days).days;
        days.forEach((one, n) => {
          checkDay(one, itemAt(found, n));
        });
        for (const { controller, number } of field.outputs) {
          for (const [from, to] of runs(found, (b) => b.controller === controller && b.output === number)) {
            expect(to - from).toBeGreaterThanOrEqual(15);
          }
        }
        expect(JSON.stringify(steerDays(made, field, days).days)).toBe(JSON.stringify(found));
      }),
      { seed: 4, numRuns: 60 },
    );
  });
});

describe('where photoperiods begin and end minutes apart', () => {
  const asks = fc.array(
    fc.record({
      start: fc.integer({ min: 0, max: 600 }),
      length: fc.integer({ min: 4, max: 44 }).map((quarter) => quarter * 15),
      side: fc.constantFrom(0, 90, 180, 270, 'upright' as const),
    }),
    { minLength: 4, maxLength: 4 },
  );
  it.each([
    ['pantry, open', pantry('open')],
    ['wire rack', { ...wireRack(), background: [] }],
  ])('%s: no output burns for less than 15 minutes, or pauses so while a zone near it is lit', (_, made) => {
    const field = lightField(made);
    const on = day('2026-05-04');
    fc.assert(
      fc.property(asks, (all) => {
        const demands = all.map(({ start, length, side }, zone) =>
          demand({
            zone,
            start: minutes(start),
            length: minutes(length),
            side: side === 'upright' ? side : degrees(side),
          }),
        );
        const { days: found } = steerDays(made, field, [dayOf(on, demands)]);
        for (const { controller, number } of field.outputs) {
          const burns = runs(found, (b) => b.controller === controller && b.output === number);
          burns.forEach(([from, to], n) => {
            expect(to - from).toBeGreaterThanOrEqual(15);
            const pause = n > 0 ? itemAt(burns, n - 1)[1] : Number.NEGATIVE_INFINITY;
            if (from - pause >= 15) return;
            // So short a pause only where every zone it could serve is between two photoperiods.
            const near = demands.filter(
              (_asked, z) => made.shelves.length > 2 || z >> 1 === (number - 1) >> 2,
            );
            const litAt = (time: number): boolean =>
              near.some(
                ({ start, length }) => time >= on * 1440 + start && time < on * 1440 + start + length,
              );
            expect(Array.from({ length: from - pause }, (_m, k) => litAt(pause + k))).toContain(false);
          });
        }
      }),
      { seed: 4, numRuns: 150 },
    );
  });
});

describe('a lamp that serves two zones in turn', () => {
  const made = plan({
    shelves: [shelf('s', 0, 600, 450, 520)],
    zones: [zone('A', 0, [200, 560], [20, 210], 1, 1), zone('B', 0, [200, 560], [240, 430], 1, 1)],
    // Nearer to B, so that B's bags get most of it.
    lamps: [strip('both', 0, 1, [10, 60, 330], [10, 430, 330], [1, 0, 0], 500)],
    batches: [batch('b', day('2026-02-16'), 0, [])],
  });
  const at = (zoneIndex: number, start: number, length: number) =>
    demand({ zone: zoneIndex, start: minutes(start), length: minutes(length), side: LEFT });
  it('goes on with the photoperiod it burns for, then changes to the other', () => {
    const [found] = steer(made, [dayOf(day('2026-05-04'), [at(0, 480, 360), at(1, 720, 480)])]);
    const block = { controller: 0, output: 1, clock: 'civil', level: 16, continuous: false };
    expect(sure(found).blocks).toEqual([
      { ...block, anchor: 480, from: 0, length: 360 },
      { ...block, anchor: 720, from: 120, length: 360 },
    ]);
  });
  it('keeps apart what does not touch', () => {
    const field = lightField(made);
    const lit = { day: day('2026-05-04'), from: 0, to: 600, demand: at(0, 0, 600) };
    const burn = (from: number, to: number) => ({
      output: itemAt(field.outputs, 0),
      level: 16,
      from,
      to,
      serves: [lit],
    });
    const [found] = toBlocks([dayOf(lit.day, [lit.demand])], [burn(0, 60), burn(60, 90), burn(120, 180)]);
    expect(sure(found).blocks.map(({ from, length }) => [from, length])).toEqual([
      [0, 90],
      [120, 60],
    ]);
  });
});

describe('on whole grows', () => {
  it.each([
    ['pantry', pantry('screened')],
    ['pantry, open', pantry('open')],
    ['wire rack', wireRack()],
    ['tower of 20 zones', tower(20)],
  ])('%s: every block holds, and a fresh field gives the same', (_, made) => {
    const days = daysOf(made);
    const found = steer(made, days);
    days.forEach((one, n) => {
      checkDay(one, itemAt(found, n));
    });
    expect(JSON.stringify(steer(made, days))).toBe(JSON.stringify(found));
  });

  it('every photoperiod of the pantry is lit from end to end', () => {
    const made = pantry('screened');
    const days = daysOf(made);
    const { days: found, treatments } = steerDays(made, lightField(made), days);
    for (const { figures, ask, minutes: all } of treatments) {
      if (ask.kind === 'lit') expect(figures.litMinutes).toBe(all);
    }
    days.forEach((one, n) => {
      for (const { length, zone } of one.demands) {
        const own = itemAt(found, n).blocks.filter(({ output }) => Math.ceil(output / 2) === zone + 1);
        expect(Math.max(...own.map((block) => block.from + block.length))).toBe(length);
      }
    });
  });

  it('a day by itself is as it is among others', () => {
    const made = pantry('screened');
    const field = lightField(made);
    const days = daysOf(made);
    const found = steerDays(made, field, days).days;
    for (const n of [40, 60, 90]) expect(chooseDay(made, field, itemAt(days, n))).toEqual(found[n]);
  });
});

describe('load', () => {
  it('holds at every instant, and what cannot be lit then is told', () => {
    const made = { ...pantry('screened'), circuit: { volts: 230, amperes: 17 / 230 } };
    const days = daysOf(made).slice(45, 60);
    const field = lightField(made);
    const { days: found, treatments } = steerDays(made, field, days);
    const changes = found
      .flatMap(({ day: on, blocks }) =>
        blocks.flatMap((block): [number, number][] => {
          const from = on * 1440 + block.anchor + block.from;
          return [
            [from, 5],
            [from + block.length, -5],
          ];
        }),
      )
      .sort((a, b) => a[0] - b[0] || a[1] - b[1]);
    let watts = 0;
    for (const [, change] of changes) {
      watts += change;
      expect(watts).toBeLessThanOrEqual(17);
    }
    expect(changes.length).toBeGreaterThan(0);
    expect(treatments.some(({ figures, minutes: all }) => figures.litMinutes < all)).toBe(true);
  });
});

describe('a zone no lamp reaches', () => {
  it('stays dark, is told unlit, and nothing burns for it', () => {
    const open = pantry('screened');
    const made = { ...open, lamps: open.lamps.filter(({ name }) => !name.startsWith('A')) };
    const days = daysOf(made);
    const field = lightField(made);
    const steered = steerDays(made, field, days);
    const own = steered.treatments.filter(({ zone, ask }) => zone === 0 && ask.kind === 'lit');
    expect(own.length).toBeGreaterThan(0);
    for (const { figures } of own) expect(figures.litMinutes).toBe(0);
    const found = collect((report) => checkLight(made, field, days, steered, {}, report));
    expect(ofCode(found, 'light-unlit').map(({ facts }) => facts.zone)).toContain('A');
  });
  it('nor does a rack without lamps or batches break', () => {
    const open = pantry('screened');
    const bare = { ...open, lamps: [] };
    const days = daysOf(bare);
    const field = lightField(bare);
    const steered = steerDays(bare, field, days);
    expect(steered.days.every(({ blocks }) => blocks.length === 0)).toBe(true);
    const found = collect((report) => checkLight(bare, field, days, steered, {}, report));
    expect(found.every(({ code }) => code === 'light-unlit')).toBe(true);
    expect(steerDays(open, lightField(open), []).days).toEqual([]);
  });
});

describe('over midnight and with dimmed lamps', () => {
  it('a photoperiod over midnight is one block, of the day it starts in', () => {
    const made = pantry('screened');
    const on = day('2026-05-04');
    const night = (n: number): DayDemands =>
      dayOf((on + n) as typeof on, [demand({ zone: 0, start: minutes(20 * 60), side: LEFT })]);
    const found = steer(made, [night(0), night(1)]);
    for (const { blocks } of found) {
      expect(blocks).toEqual([
        {
          ...{ controller: 0, output: 1, anchor: 1200, clock: 'civil', from: 0, length: 720 },
          ...{ level: 16, continuous: false },
        },
      ]);
    }
  });

  it('a dimmed lamp is turned down into the band', () => {
    const open = pantry('screened');
    const made = {
      ...open,
      controllers: [
        {
          ...itemAt(open.controllers, 0),
          board: {
            ...itemAt(open.controllers, 0).board,
            outputs: itemAt(open.controllers, 0).board.outputs.map((one) => ({
              ...one,
              kind: 'dim' as const,
            })),
          },
        },
      ],
      lamps: open.lamps.map((lamp) => ({ ...lamp, dimmable: true })),
      batches: [
        batch('b', day('2026-02-16'), 0, [
          batchZone(0, [stage('climb', day('2026-02-16'), 3, [480, 720], [200, 250], hold(LEFT))]),
        ]),
      ],
    };
    const days = daysOf(made).map((one) => ({
      ...one,
      demands: one.demands.map((asked) => ({ ...asked, level: [lux(200), lux(250)] as const })),
    }));
    const { days: found, treatments } = steerDays(made, lightField(made), days);
    expect(itemAt(found, 0).blocks).toHaveLength(1);
    expect(itemAt(itemAt(found, 0).blocks, 0).level).toBeLessThan(16);
    expect(itemAt(treatments, 0).figures.level.low).toBeGreaterThanOrEqual(199.9);
    expect(itemAt(treatments, 0).figures.level.high).toBeLessThanOrEqual(250.1);
  });
});
