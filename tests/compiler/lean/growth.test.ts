/**
 * The likely lean against its closed solution and the figures it was calibrated to;
 * lux to photons against the published factors.
 */

import { describe, expect, it } from 'vitest';
import { grow, type PullStep, sidePull } from '../../../compiler/lean/likely-lean.ts';
import { headspaceShare } from '../../../compiler/light/headspace.ts';
import { molesOf } from '../../../compiler/light/photons.ts';
import { blockHeight } from '../../../compiler/plan/block-height.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { kilograms, millimetres } from '../../../shared/units.ts';
import { bag } from '../light/rack.ts';

const MID = { rate: 2.5, tip: 8, pull: 0.4, gravity: 0.25, lag: 0.5 };
const WIDE = { halfX: 1e9, halfY: 1e9, height: 1e9 };
const angle = ([x, y, z]: readonly [number, number, number]): number => Math.atan2(Math.hypot(x, y), z);
const degrees = (radians: number): number => (radians * 180) / Math.PI;

describe('the likely lean', () => {
  it('under a constant pull follows tan(φ/2) = tan(φ₀/2)·exp(−(f·g/d)·A·t/0.7) (own solution of the model)', () => {
    const h = 0.3;
    const pull: PullStep[] = [{ days: 60, pull: [h, 0] }];
    const { days } = grow({ ...MID, lag: 0 }, pull, WIDE);
    const size = Math.hypot(h, MID.gravity);
    const rest = Math.atan2(h, MID.gravity);
    for (const day of [1, 5, 20, 60]) {
      const exact = rest - 2 * Math.atan(Math.tan(rest / 2) * Math.exp((-0.125 * size * day) / 0.7));
      expect(angle(itemAt(days, day - 1).along)).toBeCloseTo(exact, 4);
    }
  });

  const daily = (side: number, days: number): PullStep[] =>
    Array.from({ length: days }, (): PullStep[] => [
      { days: 0.5, pull: [side * sidePull(6.2, 500), 0] },
      { days: 0.5, pull: [0, 0] },
    ]).flat();

  it('holding one side tends to about 54° (20–71°, figures of an earlier prototype)', () => {
    const end = (gravity: number): number =>
      degrees(angle(sure(grow({ ...MID, gravity }, daily(1, 400), WIDE).days.at(-1)).along));
    expect(Math.abs(end(0.25) - 54)).toBeLessThan(3);
    expect(Math.abs(end(1) - 20)).toBeLessThan(3);
    expect(Math.abs(end(0.1) - 71)).toBeLessThan(5);
  });
  it('a seven-day swing reaches 13–20° and drifts about 10 mm to its first side (prototype)', () => {
    const turns = Array.from({ length: 7 }, (_, n) => daily(n % 2 === 0 ? 1 : -1, 7)).flat();
    const { days } = grow(MID, turns, WIDE);
    expect(Math.abs(degrees(angle(itemAt(days, 6).along)) - 20)).toBeLessThan(2);
    expect(Math.abs(itemAt(days, 48).at[0] - 10)).toBeLessThan(3);
  });
  it('does not move without light, and stops at the film', () => {
    const still = sure(grow(MID, [{ days: 10, pull: [0, 0] }], WIDE).days.at(-1));
    expect(still.at[0]).toBe(0);
    expect(still.at[2]).toBeCloseTo(25, 9);
    expect(grow(MID, [{ days: 40, pull: [0, 0] }], { ...WIDE, height: 49.9 }).filmDay).toBe(20);
  });
  it('saturates: 500 lx pulls fully, darkness not at all, 5 lx about a seventh', () => {
    expect(sidePull(7, 500)).toBeCloseTo(0.75, 9);
    expect(sidePull(7, 5000)).toBeCloseTo(0.75, 9);
    expect(sidePull(7, 0)).toBe(0);
    expect(sidePull(7, 5) / 0.75).toBeCloseTo(Math.log(2) / Math.log(101), 9);
  });
});

describe('lux to photons', () => {
  it('sun 54 and incandescent 50 lx per µmol m⁻² s⁻¹ (Thimijan & Heins 1983): 1000 lx are 18.5 and 20 µmol', () => {
    expect((molesOf(1000, 54) / 3600) * 1e6).toBeCloseTo(18.5, 1);
    expect((molesOf(1000, 50) / 3600) * 1e6).toBeCloseTo(20, 9);
  });
  it('800 lx for 12 h are 9600 lx·h, 3.456e7 lx·s (own), 0.494 mol at 70', () => {
    expect(800 * 12 * 3600).toBe(3.456e7);
    expect(molesOf(9600)).toBeCloseTo(3.456e7 / 70 / 1e6, 12);
  });
});

describe('headspace', () => {
  it('2.5 kg at 0.65 kg/L in a bag of 203 by 127 mm stands about 149 mm high (own)', () => {
    const made = bag({
      footprint: [millimetres(203), millimetres(127)],
      height: millimetres(483),
      fill: kilograms(2.5),
    });
    expect(blockHeight(made)).toBeCloseTo(149, 0);
    expect(headspaceShare(made)).toBeCloseTo(1 - 149.2 / 483, 3);
  });
});
