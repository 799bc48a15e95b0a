/**
 * The drawn growth against the closed solution without light, and against the
 * figures that `light` tells of the same growth.
 */

import { assert, constantFrom, double, integer, property, array as someOf, tuple } from 'fast-check';
import { describe, expect, it } from 'vitest';
import type { LeanCauses } from '../../../compiler/lean/estimate.ts';
import { likelyLean, type PullStep, type Room } from '../../../compiler/lean/likely-lean.ts';
import { BAND_STEP, followLean } from '../../../compiler/lean/shape.ts';
import { azimuthNormal } from '../../../compiler/light/trace.ts';
import type { ResolvedGrowth, ResolvedStage } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { civilDay } from '../../../shared/units.ts';

const FIRST = civilDay(20_000);
const WIDE: Room = { halfX: 1e6, halfY: 1e6, height: 1e6 };
const start = {} as ResolvedStage;
const on = (pulls: readonly PullStep[], room: Room, toward: number | undefined = 90): LeanCauses => ({
  ...{ firstDay: FIRST, toward, pulls, room, start, isTurned: false },
});
const range = (low: number, mid: number, high: number) => ({ low, mid, high });
const GROWTH = {
  rate: range(1, 2.5, 5),
  tip: range(5, 8, 12),
  pull: range(0.2, 0.4, 0.8),
  gravity: range(0.1, 0.25, 1),
  lag: range(0.25, 0.5, 1),
} as ResolvedGrowth;

describe('the shape of the growth', () => {
  it('without light is upright and as tall as rate times days', () => {
    const lean = followLean(on([{ days: 40, pull: [0, 0] }], WIDE), GROWTH);
    expect(lean.on(civilDay(FIRST - 1))).toMatchObject({
      day: 0,
      path: [[0, 0, 0]],
      band: [],
      contact: undefined,
    });
    const { path, height, band, angle } = lean.on(civilDay(FIRST + 9));
    expect(path).toHaveLength(11);
    expect(itemAt(path, 10)[0]).toBe(0);
    expect(height.mid).toBeCloseTo(25, 6);
    expect(height.low).toBeCloseTo(10, 4);
    expect(height.high).toBeCloseTo(50, 4);
    expect(band.map(({ z }) => z)).toEqual([0, 5, 10, 15, 20, 25, 30, 35, 40, 45, 50].slice(0, band.length));
    expect(band.length).toBeGreaterThan(9);
    expect(band.every(({ x, y }) => x[0] === 0 && x[1] === 0 && y[0] === 0 && y[1] === 0)).toBe(true);
    expect(angle).toEqual({ mid: 0, low: 0, high: 0 });
  });

  it('ends on the film, on the day that is told', () => {
    const lean = followLean(on([{ days: 40, pull: [0, 0] }], { ...WIDE, height: 49.9 }), GROWTH);
    // 49.9 mm at 2.5 mm a day: in the 20th day; at 5 mm a day in the 10th.
    expect([lean.filmDay, lean.filmEarliest]).toEqual([20, 10]);
    expect(lean.on(civilDay(FIRST + 18)).contact).toBeUndefined();
    expect(lean.on(civilDay(FIRST + 8)).mayTouch).toBe(false);
    expect(lean.on(civilDay(FIRST + 9)).mayTouch).toBe(true);
    const { contact, path } = lean.on(civilDay(FIRST + 19));
    expect(sure(contact)[2]).toBeCloseTo(49.9, 9);
    expect(path.at(-1)).toEqual(contact);
    const aside = followLean(on([{ days: 60, pull: [0.9, 0] }], { ...WIDE, halfX: 30 }), GROWTH);
    const met = sure(aside.on(civilDay(FIRST + sure(aside.filmDay))).contact);
    expect(met[0]).toBeCloseTo(30, 9);
  });

  it('has the angle, drift and film days that `light` tells, and the likely way inside its band (random growths)', () => {
    const between = (least: number, most: number) =>
      tuple(...[0, 1, 2].map(() => double({ min: least, max: most, noNaN: true }))).map((all) => {
        const [low, mid, high] = [...all].sort((a, b) => a - b);
        return range(sure(low), sure(mid), sure(high));
      });
    const growths = tuple(
      between(0.5, 6),
      between(4, 15),
      between(0.1, 1),
      between(0.05, 1),
      between(0, 2),
    ).map(([rate, tip, pull, gravity, lag]) => ({ rate, tip, pull, gravity, lag }) as ResolvedGrowth);
    const part = () => double({ min: -1, max: 1, noNaN: true });
    const steps = someOf(
      tuple(integer({ min: 1, max: 8 }), part(), part()).map(
        ([days, x, y]): PullStep => ({ days, pull: [x, y] }),
      ),
      { minLength: 1, maxLength: 5 },
    );
    const rooms = tuple(constantFrom(40, 90), constantFrom(30, 60), constantFrom(60, 300)).map(
      ([halfX, halfY, height]): Room => ({ halfX, halfY, height }),
    );
    assert(
      property(growths, steps, rooms, constantFrom(0, 90, 200), (growth, pulls, room, toward) => {
        const lean = followLean(on(pulls, room, toward), growth);
        const told = likelyLean(growth, pulls, room, azimuthNormal(toward));
        expect([lean.filmDay, lean.filmEarliest ?? 999]).toEqual([
          told.filmDay,
          // `light` tells nothing after the likely growth has ended.
          told.filmEarliest ?? lean.filmEarliest ?? 999,
        ]);
        told.angle.forEach((angle, n) => {
          const shape = lean.on(civilDay(FIRST + n));
          for (const which of ['mid', 'low', 'high'] as const) {
            expect(sure(shape.angle)[which]).toBeCloseTo(angle[which], 1);
            expect(sure(shape.drift)[which]).toBeCloseTo(itemAt(told.drift, n)[which], 2);
          }
          for (const { z, x, y } of shape.band) {
            const above = shape.path.findIndex((one) => one[2] >= z);
            if (above < 1) continue;
            const [a, b] = [itemAt(shape.path, above - 1), itemAt(shape.path, above)];
            const share = (z - a[2]) / (b[2] - a[2] || 1);
            const at = (axis: 0 | 1): number => a[axis] + (b[axis] - a[axis]) * share;
            expect(at(0)).toBeGreaterThan(x[0] - 0.01);
            expect(at(0)).toBeLessThan(x[1] + 0.01);
            expect(at(1)).toBeGreaterThan(y[0] - 0.01);
            expect(at(1)).toBeLessThan(y[1] + 0.01);
          }
          expect(shape.height.high).toBeLessThan(BAND_STEP * shape.band.length + 0.01);
        });
      }),
      { numRuns: 8, seed: 11 },
    );
  });
});
