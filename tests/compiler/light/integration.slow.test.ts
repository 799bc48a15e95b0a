/**
 * Strips, panels, discs and shadows against brute-force integration, against each other
 * in the limit, and against conservation.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { ALL } from '../../../compiler/light/film.ts';
import { gather } from '../../../compiler/light/gather.ts';
import { planesOf, rowLength } from '../../../compiler/light/row.ts';
import { passing, sortInWay } from '../../../compiler/light/shadow.ts';
import {
  addLight,
  darkness,
  discOnAxis,
  polygonLight,
  rayLight,
  spotLight,
  stripLight,
} from '../../../compiler/light/sources.ts';
import type { Vec3 } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { along, slowLight } from './brute.ts';

const RUNS = { numRuns: 60, seed: 4 };
const metre = (low: number, high: number) => fc.double({ min: low, max: high, noNaN: true });
const near = (value: number, expected: number, scale: number, share = 2e-4): void =>
  expect(Math.abs(value - expected)).toBeLessThan(share * Math.abs(scale) + 1e-9);

const square = (half: number, z: number): Vec3[] => [
  [-half, -half, z],
  [half, -half, z],
  [half, half, z],
  [-half, half, z],
];

describe('strips', () => {
  it('agree with thousands of small flat sources', () => {
    fc.assert(
      fc.property(metre(-1, 1), metre(-0.6, 0.6), metre(0.08, 1), (x, y, z) => {
        const strip = {
          from: [-0.3, 0, z],
          along: [1, 0, 0],
          length: 0.6,
          facing: [0, 0, -1],
          perMetre: 100 / 0.6 / Math.PI,
        } as const;
        const fast = stripLight([x, y, 0], strip);
        const slow = slowLight([x, y, 0], along(strip.from, [0.3, 0, z], 4000), [0, 0, -1], 100);
        const size = Math.hypot(slow.x, slow.y, slow.z);
        for (const k of ['x', 'y', 'z', 'scalar'] as const) near(fast[k], slow[k], size);
      }),
      RUNS,
    );
  });

  it('seen from either side of their middle mirror each other', () => {
    const strip = {
      from: [-0.3, 0, 0.5],
      along: [1, 0, 0],
      length: 0.6,
      facing: [0, 0, -1],
      perMetre: 1,
    } as const;
    const [a, b] = [stripLight([0.2, 0.1, 0], strip), stripLight([-0.2, 0.1, 0], strip)];
    expect(a.x).toBeCloseTo(-b.x, 12);
    expect(a.y).toBeCloseTo(b.y, 12);
  });
});

describe('panels and discs', () => {
  it('agree with thousands of small flat sources', () => {
    fc.assert(
      fc.property(metre(-0.8, 0.8), metre(-0.8, 0.8), metre(0.15, 1), (x, y, z) => {
        const points = along([-0.2, 0, z], [0.2, 0, z], 120).flatMap(([u]) =>
          along([u, -0.2, z], [u, 0.2, z], 120),
        );
        const fast = polygonLight([x, y, 0], square(0.2, z), 100 / 0.16);
        const slow = slowLight([x, y, 0], points, [0, 0, -1], 100);
        const size = Math.hypot(slow.x, slow.y, slow.z);
        for (const k of ['x', 'y', 'z', 'scalar'] as const) near(fast[k], slow[k], size, 1e-3);
      }),
      RUNS,
    );
  });

  it('a many-sided polygon becomes the disc', () => {
    const corners = Array.from({ length: 720 }, (_, i): Vec3 => {
      const a = (i * Math.PI) / 360;
      return [0.25 * Math.cos(a), 0.25 * Math.sin(a), 0.75];
    });
    const polygon = polygonLight([0, 0, 0], corners, 700);
    const disc = discOnAxis(0.25, 0.75, 700);
    near(polygon.z, disc.axial, disc.axial, 1e-4);
    near(polygon.scalar, disc.scalar, disc.scalar, 1e-4);
  });

  it('a panel drawn out thin becomes the strip', () => {
    const strip = {
      from: [-0.3, 0, 0.4],
      along: [1, 0, 0],
      length: 0.6,
      facing: [0, 0, -1],
      perMetre: 100 / 0.6 / Math.PI,
    } as const;
    const half = 1e-4;
    const thin = polygonLight(
      [0.1, 0.2, 0],
      [
        [-0.3, -half, 0.4],
        [0.3, -half, 0.4],
        [0.3, half, 0.4],
        [-0.3, half, 0.4],
      ],
      100 / (0.6 * 2 * half),
    );
    const exact = stripLight([0.1, 0.2, 0], strip);
    for (const k of ['x', 'y', 'z', 'scalar'] as const) near(thin[k], exact[k], exact.z, 1e-5);
  });

  it('from five times the largest dimension (the diagonal of a square) on, a point source is right within 1 % (IES 9.1.1)', () => {
    const [half, far] = [0.5, 5 * Math.SQRT2];
    const exact = polygonLight([0, 0, 0], square(half, far), 1).z;
    const point = spotLight([0, 0, 0], {
      at: [0, 0, far],
      axis: [0, 0, -1],
      peak: 1 / Math.PI,
      exponent: 1,
    }).z;
    expect(Math.abs(point / exact - 1)).toBeLessThan(0.01);
  });
});

describe('reciprocity', () => {
  it('two facing rectangles send each other the same flux at the same exitance (view-factor algebra, A1·F12 = A2·F21)', () => {
    const wide: Vec3[] = [
      [0, 0, 0],
      [1, 0, 0],
      [1, 2, 0],
      [0, 2, 0],
    ];
    const small = wide.map(([x, y]): Vec3 => [0.3 + 0.5 * x, 0.2 + 0.25 * y, 0.7]);
    const n = 60;
    let [onSmall, onWide] = [0, 0];
    for (let i = 0; i < n; i++) {
      for (let j = 0; j < n; j++) {
        const [u, v] = [(i + 0.5) / n, (j + 0.5) / n];
        onSmall -= polygonLight([0.3 + 0.5 * u, 0.2 + 0.5 * v, 0.7], wide, 1).z * (0.25 / n ** 2);
        onWide += polygonLight([u, 2 * v, 0], small, 1).z * (2 / n ** 2);
      }
    }
    expect(onSmall / onWide).toBeCloseTo(1, 3);
  });
});

describe('vector over scalar (own)', () => {
  const ratio = (light: { x: number; y: number; z: number; scalar: number }): number =>
    Math.hypot(light.x, light.y, light.z) / light.scalar;
  it('is 4 for one beam, 2 under an endless flat ceiling, 0 with light from all round', () => {
    expect(ratio(rayLight(0.6, 0, 0.8, 100))).toBeCloseTo(4, 12);
    expect(ratio(polygonLight([0, 0, 0], square(1e4, 1), 1))).toBeCloseTo(2, 3);
    const round = darkness();
    const n = 2000;
    for (let i = 0; i < n; i++) {
      // Points spread evenly over the sphere.
      const z = 1 - (2 * i + 1) / n;
      const turn = i * Math.PI * (3 - Math.sqrt(5));
      const r = Math.sqrt(1 - z * z);
      addLight(round, rayLight(r * Math.cos(turn), r * Math.sin(turn), z, 1));
    }
    expect(ratio(round)).toBeLessThan(0.01);
  });
});

describe('conservation (row 14)', () => {
  const faces: [normal: Vec3, at: (u: number, v: number) => Vec3][] = [
    [[1, 0, 0], (u, v) => [1, u, v]],
    [[-1, 0, 0], (u, v) => [-1, u, v]],
    [[0, 1, 0], (u, v) => [u, 1, v]],
    [[0, -1, 0], (u, v) => [u, -1, v]],
    [[0, 0, 1], (u, v) => [u, v, 1]],
    [[0, 0, -1], (u, v) => [u, v, -1]],
  ];
  /** Flux leaving a box 2 m wide: the vector points toward the light, so outward flux is its negative. */
  function outward(lightAt: (p: Vec3) => { x: number; y: number; z: number }): number {
    const n = 80;
    let flux = 0;
    for (const [normal, at] of faces) {
      for (let i = 0; i < n; i++) {
        for (let j = 0; j < n; j++) {
          const e = lightAt(at((2 * (i + 0.5)) / n - 1, (2 * (j + 0.5)) / n - 1));
          flux -= (e.x * normal[0] + e.y * normal[1] + e.z * normal[2]) * (2 / n) ** 2;
        }
      }
    }
    return flux;
  }
  const strip = (z: number) =>
    ({
      from: [-0.3, 0.1, z],
      along: [1, 0, 0],
      length: 0.6,
      facing: [0, 0, -1],
      perMetre: 400 / 0.6 / Math.PI,
    }) as const;
  it('the flux through a closed box round a strip is its lumens', () => {
    expect(outward((p) => stripLight(p, strip(0.2))) / 400).toBeCloseTo(1, 2);
  });
  it('and through a box beside it nothing', () => {
    expect(Math.abs(outward((p) => stripLight(p, strip(1.7)))) / 400).toBeLessThan(0.01);
  });
});

describe('adding up', () => {
  it('row 10: cube readings 3,2,4,4,5,6 give (−0.267261, −0.801784, −0.534522) and 3.741657 (printed in code citing Cuttle 2013; magnitude own)', () => {
    const sum = darkness();
    const readings: [number, number, number, number][] = [
      [1, 0, 0, 3],
      [0, 1, 0, 2],
      [0, 0, 1, 4],
      [-1, 0, 0, 4],
      [0, -1, 0, 5],
      [0, 0, -1, 6],
    ];
    for (const [x, y, z, lx] of readings) addLight(sum, rayLight(x, y, z, lx));
    const size = Math.hypot(sum.x, sum.y, sum.z);
    expect(size).toBeCloseTo(3.741657, 6);
    expect(sum.x / size).toBeCloseTo(-0.267261, 6);
    expect(sum.y / size).toBeCloseTo(-0.801784, 6);
    expect(sum.z / size).toBeCloseTo(-0.534522, 6);
    expect(sum.scalar).toBeCloseTo(24 / 4, 12);
  });
});

describe('shadows', () => {
  const box = fc.record({
    x: metre(-0.2, 0.1),
    y: metre(-0.2, 0.1),
    z: metre(0.1, 0.3),
    w: metre(0.02, 0.3),
    passes: fc.constantFrom(0, 0.49),
  });
  it('of random boxes on a strip agree with tracing every bit of it', () => {
    fc.assert(
      fc.property(
        metre(-0.4, 0.4),
        metre(-0.4, 0.4),
        fc.array(box, { minLength: 1, maxLength: 3 }),
        (x, y, boxes) => {
          const made = boxes.map((one) => ({
            lo: [one.x, one.y, one.z] as Vec3,
            hi: [one.x + one.w, one.y + one.w, Math.min(0.55, one.z + one.w)] as Vec3,
            passes: one.passes,
          }));
          const [from, to]: [Vec3, Vec3] = [
            [-0.3, 0, 0.6],
            [0.3, 0, 0.6],
          ];
          const source = {
            kind: 'strip',
            to,
            strip: { from, along: [1, 0, 0], length: 0.6, facing: [0, 0, -1], perMetre: 400 / 0.6 / Math.PI },
          } as const;
          const inWay = sortInWay(made.map(({ lo, hi, passes }) => ({ lo, hi, ...passing(passes) })));
          const row = new Float64Array(rowLength(1));
          gather(row, [x, y, 0], { source, inWay, own: ALL, planes: planesOf([[1, 0]]) });
          const slow = slowLight([x, y, 0], along(from, to, 600), [0, 0, -1], 400, [1, 0, 0], made);
          const open = slowLight([x, y, 0], along(from, to, 600), [0, 0, -1], 400);
          // 600 bits resolve a shadow's edge to 1/600 of the strip.
          near(itemAt(row, 2), slow.z, open.z, 0.02);
          near(itemAt(row, 5), slow.face, open.z, 0.02);
        },
      ),
      { numRuns: 25, seed: 4 },
    );
  });
});
