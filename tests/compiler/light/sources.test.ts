/**
 * The closed forms against printed values, each with its source beside it.
 * "Own" marks values derived and computed here; they are held to 1e-6 relative.
 */

import { describe, expect, it } from 'vitest';
import {
  beamExponent,
  beamPeak,
  discOnAxis,
  type Light,
  polygonLight,
  rayLight,
  spotLight,
  stripLight,
} from '../../../compiler/light/sources.ts';
import type { Vec3 } from '../../../compiler/plan/plan.ts';

const DOWN: Vec3 = [0, 0, -1];
const ORIGIN: Vec3 = [0, 0, 0];
const size = (light: Light): number => Math.hypot(light.x, light.y, light.z);
const close = (value: number, expected: number): void =>
  expect(Math.abs(value / expected - 1)).toBeLessThan(1e-6);
const uniform = (peak: number, at: Vec3): Light => spotLight(ORIGIN, { at, axis: DOWN, peak, exponent: 0 });
const flat = (peak: number, at: Vec3): Light => spotLight(ORIGIN, { at, axis: DOWN, peak, exponent: 1 });

describe('small sources', () => {
  it('row 1: 250 cd six up gives 6.94 lx below and 1.5 lx eight aside (Mehta, Principle of Physics, ex. 20.5)', () => {
    expect(uniform(250, [0, 0, 6]).z).toBeCloseTo(6.94, 2);
    expect(uniform(250, [8, 0, 6]).z).toBeCloseTo(1.5, 2);
  });
  it('row 2: flat source, 25 lx below at 2.4, 1.8 aside: 10.24 lx (Verma, Concepts of Physics, ch. 22; answer from memory)', () => {
    expect(flat(25 * 2.4 ** 2, [1.8, 0, 2.4]).z).toBeCloseTo(10.24, 2);
  });
  it('row 3: 15 lx below at 0.6, 0.8 aside: 3.24 lx (Verma, ch. 22)', () => {
    // The book's lamp shines the same in every direction, so cos³: 15·0.6³ = 3.24.
    expect(uniform(15 * 0.6 ** 2, [0.8, 0, 0.6]).z).toBeCloseTo(3.24, 2);
  });
  it('row 4: 1000 lm Lambertian 0.4 up (own)', () => {
    const peak = beamPeak(1000, 1);
    close(flat(peak, [0, 0, 0.4]).z, 1989.436789);
    const aside = flat(peak, [0.3, 0, 0.4]);
    close(aside.z, 814.8733);
    close(size(aside), 1018.5916);
    close(aside.scalar, 254.6479);
    close(size(aside) / aside.scalar, 4);
  });
  it('row 11: 100 cp at 2 m, incidence 0°, 45°, 90°: 25, 17.678, 0 lx (Chakrabarti et al., ex. 4.2)', () => {
    const onFace = (incidence: number): number =>
      rayLight(Math.sin((incidence * Math.PI) / 180), 0, Math.cos((incidence * Math.PI) / 180), 100 / 4).z;
    expect(onFace(0)).toBeCloseTo(25, 3);
    expect(onFace(45)).toBeCloseTo(17.678, 3);
    expect(onFace(90)).toBeCloseTo(0, 3);
  });
  it('row 12: 628 lm all round, 1 m, 37°: 39.91 lx, printed as 40 with cos 37° = 4/5 (Verma, ch. 22)', () => {
    const tilt = (37 * Math.PI) / 180;
    expect(uniform(628 / (4 * Math.PI), [Math.sin(tilt), 0, Math.cos(tilt)]).z).toBeCloseTo(39.91, 2);
  });
  it('beam exponents: 60° 1, 45° 2, 30° 4.818842, 15° 19.993727 (formula from memory, figures own)', () => {
    close(beamExponent(60), 1);
    close(beamExponent(45), 2);
    close(beamExponent(30), 4.818842);
    close(beamExponent(15), 19.993727);
  });
});

describe('disc and strip', () => {
  it('row 5: disc R 0.25, h 0.75, M 700: 70.0 lx (Irodov, 5.11); scalar and ratio own', () => {
    const disc = discOnAxis(0.25, 0.75, 700);
    close(disc.axial, 70);
    close(disc.scalar / 700, 0.02565835);
    close(disc.axial / disc.scalar, 3.897367);
  });
  it('row 6: strip of 1 cd/m, length 1, opposite one end: 0.6426991, 0.25 (Offshore EE Manual, ch. 14), 0.1767767 (own)', () => {
    const strip = { from: [0, 0, 1], along: [1, 0, 0], length: 1, facing: DOWN, perMetre: 1 } as const;
    const light = stripLight(ORIGIN, strip);
    close(light.z, 0.6426991);
    close(light.x, 0.25);
    close(light.scalar, 0.1767767);
  });
  it('row 13: at five times its length a strip taken as a point is 1.00665 of the exact value (own)', () => {
    const strip = { from: [-0.5, 0, 5], along: [1, 0, 0], length: 1, facing: DOWN, perMetre: 1 } as const;
    const exact = stripLight(ORIGIN, strip).z;
    expect(flat(1, [0, 0, 5]).z / exact).toBeCloseTo(1.00665, 5);
  });
});

describe('rectangles (Howell, A Catalog of Radiation Heat Transfer Configuration Factors)', () => {
  /** Rectangle a by b at distance c, one corner straight above the point. */
  const corner = (a: number, b: number, c: number): Light =>
    polygonLight(
      ORIGIN,
      [
        [0, 0, c],
        [a, 0, c],
        [a, b, c],
        [0, b, c],
      ],
      1,
    );
  it('row 7: B-3 0.1385316, B-4 0.0557342, B-106 1/24', () => {
    const light = corner(1, 1, 1);
    close(light.z, 0.1385316);
    close(light.x, 0.0557342);
    close(light.scalar, 1 / 24);
  });
  it('row 8: B-3 with a 3, b 2, c 0.5: 0.240894', () => {
    expect(corner(3, 2, 0.5).z).toBeCloseTo(0.240894, 6);
  });
  it('row 9: 1 by 2 at 0.5: scalar printed 0.0836 in a heat-transfer help page (hs305); rest own', () => {
    const light = corner(1, 2, 0.5);
    close(light.x, 0.1354884);
    close(light.y, 0.1587748);
    close(light.z, 0.2207776);
    close(size(light), 0.3038245);
    close(light.scalar, 0.0836041);
    close(size(light) / light.scalar, 3.634084);
  });
  it('row 15: mean of B-3 over the facing unit square 0.199825, of B-4 over an adjacent one 0.200044 (view-factor tables, from memory); the five close to 1', () => {
    const n = 60;
    let facing = 0;
    let adjacent = 0;
    const lid: Vec3[] = [
      [0, 0, 1],
      [1, 0, 1],
      [1, 1, 1],
      [0, 1, 1],
    ];
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const [u, v] = [(i + 0.5) / n, (j + 0.5) / n];
        facing += polygonLight([u, v, 0], lid, 1).z / n ** 2;
        adjacent += polygonLight([0, u, v], lid, 1).x / n ** 2;
      }
    }
    expect(facing).toBeCloseTo(0.199825, 4);
    expect(adjacent).toBeCloseTo(0.200044, 3);
    expect(facing + 4 * adjacent).toBeCloseTo(1, 3);
  });
});
