/**
 * What must hold of the light on any rack: racks are random, of strips, spots, panels,
 * photometric files, screens, solid and wire decks.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { type Influence, lightField } from '../../../compiler/light/field.ts';
import type { FieldOptions } from '../../../compiler/light/options.ts';
import {
  addRay,
  keepPoint,
  POINT_LENGTH,
  planesOf,
  rowLength,
  rowLevelAt,
  SCALAR,
} from '../../../compiler/light/row.ts';
import { rayLight } from '../../../compiler/light/sources.ts';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { lumens } from '../../../shared/units.ts';
import { anyRack, halved, mirrored } from './any-rack.ts';
import { antler, batch, batchZone, day, hold, LEFT, plan, shelf, strip, zone } from './rack.ts';

const RUNS = { numRuns: 15 };

/** What reaches zone `index` with every zone full, by output. */
function reaching(
  made: ResolvedPlan,
  options: FieldOptions = {},
  index = 0,
): readonly (Influence | undefined)[] {
  return sure(
    lightField(made, options).zone(
      made.zones.map(() => 0),
      index,
    ),
  ).outputs;
}

/** All means and the level at every point of one influence, lx; nothing where it gives nothing. */
function values(one: Influence | undefined): number[] {
  const means = one?.means.flatMap((row) => [...row]) ?? [];
  const levels = one?.points.flatMap((points) =>
    Array.from({ length: points.length / POINT_LENGTH }, (_, n) => rowLevelAt(points, n * POINT_LENGTH)),
  );
  return [...means, ...(levels ?? [])].map((value) => value / 100);
}

/** Compares two fields value by value: within `share` of the strongest value and a rounding or two. */
function near(
  a: readonly (Influence | undefined)[],
  b: readonly (Influence | undefined)[],
  share: number,
  times = 1,
) {
  expect(a).toHaveLength(b.length);
  a.forEach((one, n) => {
    const [left, right] = [values(one), values(b[n])];
    const size = Math.max(0, ...left.map((value) => times * Math.abs(value)), ...right.map(Math.abs));
    if (left.length === 0 || right.length === 0) {
      expect(size).toBeLessThan(0.1 * times);
      return;
    }
    left.forEach((value, i) => {
      expect(Math.abs(value * times - itemAt(right, i))).toBeLessThanOrEqual(0.03 * times + share * size);
    });
  });
}

/** The same without its points: bits of a panel are too coarse for a point close to it. */
const meansOf = (all: readonly (Influence | undefined)[]): readonly (Influence | undefined)[] =>
  all.map((one) => one && { ...one, points: [] });

/** A flat lamp's file, every 2.5 degrees, with as much light behind as before where `behind`. */
function flatFile(behind = false): string {
  const angles = Array.from({ length: behind ? 73 : 37 }, (_, i) => 2.5 * i);
  const candela = angles.map((angle) => Math.abs(1000 * Math.cos((angle * Math.PI) / 180)).toFixed(4));
  return ['IESNA:LM-63-2002', 'TILT=NONE', `1 1000 1 ${angles.length} 1 1 2 0 0 0`, '1 1 10']
    .concat(angles.join(' '), '0', candela.join(' '))
    .join('\n');
}

describe('on any rack', () => {
  it('twice the flux gives twice the light', () => {
    fc.assert(
      fc.property(anyRack(), (made) => {
        const twice = { ...made, lamps: made.lamps.map((l) => ({ ...l, flux: lumens(2 * l.flux) })) };
        near(reaching(made), reaching(twice), 1e-4, 2);
      }),
      RUNS,
    );
  });

  it('a rack in the mirror has its light in the mirror', () => {
    fc.assert(
      fc.property(anyRack(), (made) => {
        const [a, b] = [reaching(made), reaching(mirrored(made))];
        a.forEach((one, n) => {
          const other = b[n];
          expect(one === undefined).toBe(other === undefined);
          one?.means.forEach((row, index) => {
            const flipped = itemAt(sure(other).means, index);
            const size = Math.max(...row, 1);
            const close = (i: number, k: number, sign = 1) =>
              expect(Math.abs(itemAt(row, i) - sign * itemAt(flipped, k))).toBeLessThanOrEqual(
                3 + 2e-3 * size,
              );
            close(0, 0, -1);
            close(1, 1);
            close(2, 2);
            close(SCALAR, SCALAR);
            // Faces at azimuths 0, 180, 45, 225, 90, 270, 135, 315.
            for (const [i, k] of [
              [5, 5],
              [6, 6],
              [9, 10],
              [10, 9],
              [7, 12],
              [12, 7],
              [8, 11],
              [11, 8],
            ] as const)
              close(i, k);
          });
        });
      }),
      RUNS,
    );
  });

  it('two halves of a strip give what the strip gives, as drawn and with a file', () => {
    fc.assert(
      fc.property(anyRack({ kinds: ['strip'] }), (made) => {
        near(reaching(made), reaching(halved(made)), 1e-4);
      }),
      RUNS,
    );
    const photometry = { 'flat.ies': flatFile() };
    fc.assert(
      fc.property(anyRack({ kinds: ['strip'], photometry: 'flat.ies' }), (made) => {
        near(reaching(made, { photometry }), reaching(halved(made), { photometry }), 5e-3);
      }),
      RUNS,
    );
  });

  it('a flat lamp with a flat file shines as one without', () => {
    const photometry = { 'flat.ies': flatFile() };
    fc.assert(
      fc.property(anyRack({ kinds: ['strip', 'panel'], photometry: 'flat.ies' }), (made) => {
        near(reaching(made, { photometry }), reaching(made), 0.02);
      }),
      RUNS,
    );
  });

  it('an opaque board more never adds light', () => {
    fc.assert(
      fc.property(anyRack(), fc.integer({ min: 20, max: 380 }), (made, y) => {
        const board = { name: 'y', shelf: 0, from: [0, y, 0], to: [900, y, 520], span: { start: 0, end: 0 } };
        const more = { ...made, screens: [...made.screens, board as never] };
        const [open, shaded] = [reaching(made), reaching(more)];
        shaded.forEach((one, n) => {
          one?.means.forEach((row, index) => {
            const before = open[n]?.means[index];
            for (let i = SCALAR; i < row.length; i++)
              expect(itemAt(row, i)).toBeLessThanOrEqual(itemAt(sure(before), i) * 1.01 + 3);
          });
        });
      }),
      RUNS,
    );
  });

  it('a zone far off changes nothing, whatever it asks for', () => {
    fc.assert(
      fc.property(anyRack(), fc.integer({ min: 1, max: 359 }), (made, azimuth) => {
        const lean = { ...hold(LEFT), sides: [azimuth as never] };
        const asked = batch('b', day('2026-02-16'), 0, [
          batchZone(made.zones.length, antler(day('2026-02-16'), lean)),
        ]);
        const more: ResolvedPlan = {
          ...made,
          shelves: [...made.shelves, shelf('far', 500, 900, 400, 520)],
          zones: [...made.zones, zone('Z', made.shelves.length, [60, 840], [100, 300], 1, 1)],
          batches: [asked],
        };
        const [alone, beside] = [reaching(made), reaching(more)];
        alone.forEach((one, n) => {
          expect(beside[n]?.points).toEqual(one?.points);
          one?.means.forEach((row, index) => {
            expect([...itemAt(sure(beside[n]).means, index).slice(0, row.length)]).toEqual([...row]);
          });
        });
      }),
      RUNS,
    );
  });
});

describe('a lamp whose file shines behind as before', () => {
  it('lights a bag behind it as one before it', () => {
    const made = (facing: Vec3) =>
      plan({
        shelves: [shelf('s', 0, 600, 450, 520)],
        zones: [zone('A', 0, [200, 400], [165, 285], 1, 1)],
        lamps: [strip('l', 0, 1, [10, 20, 330], [10, 430, 330], facing, 500, { photometry: 'round.ies' })],
      });
    const photometry = { 'round.ies': flatFile(true) };
    const [before, behind] = [
      reaching(made([1, 0, 0]), { photometry }),
      reaching(made([-1, 0, 0]), { photometry }),
    ];
    near(before, behind, 1e-4);
    expect(sure(behind[0]).peak).toBeGreaterThan(10_000);
  });
});

describe('a panel behind things', () => {
  /** All panels upright before the bags, where the bits of the oracle are small for their distance. */
  const before = (made: ResolvedPlan): ResolvedPlan => ({
    ...made,
    lamps: made.lamps.map((lamp) => {
      if (lamp.shape.kind !== 'panel') return lamp;
      const [x, , z] = lamp.shape.at;
      return { ...lamp, facing: [0, 1, 0], shape: { ...lamp.shape, at: [x, 20, z] } };
    }),
  });
  it('agrees with 256 small panels, each shaded by itself, to 6 %', () => {
    fc.assert(
      fc.property(anyRack({ kinds: ['panel'] }), (any) => {
        const n = 16;
        const made = before(any);
        const parts: ResolvedPlan = {
          ...made,
          lamps: made.lamps.flatMap((lamp) => {
            if (lamp.shape.kind !== 'panel') return [];
            const { at, size } = lamp.shape;
            const [x, y, z] = lamp.facing;
            const flat = Math.hypot(x, y);
            const u: Vec3 = [-y / flat, x / flat, 0];
            const v: Vec3 = [y * u[2] - z * u[1], z * u[0] - x * u[2], x * u[1] - y * u[0]];
            return Array.from({ length: n * n }, (_, k) => {
              const [a, b] = [((k % n) + 0.5) / n - 0.5, (Math.floor(k / n) + 0.5) / n - 0.5];
              const place = [0, 1, 2].map(
                (i) => itemAt(at, i) + a * size[0] * itemAt(u, i) + b * size[1] * itemAt(v, i),
              );
              const shape = { kind: 'spot', at: place as unknown as Vec3, beam: 120 as never } as const;
              return { ...lamp, shape };
            });
          }),
        };
        // Each bit shines as the whole does: one of so many alone would be too weak to follow.
        near(meansOf(reaching(made)), meansOf(reaching(parts)), 0.06, n * n);
      }),
      { numRuns: 3 },
    );
  });
});

describe('the level', () => {
  /** Rays from anywhere, as a bag between a few lamps sees them. */
  const rays = fc.array(
    fc.tuple(
      fc.double({ min: -1, max: 1, noNaN: true }),
      fc.double({ min: 0, max: 2 * Math.PI, noNaN: true }),
      fc.double({ min: 0.2, max: 1, noNaN: true }),
    ),
    { minLength: 1, maxLength: 4 },
  );
  it('is that of the best of ten thousand directions, to 7 % with few sharp lamps anywhere', () => {
    const planes = planesOf([]);
    let [sum, count] = [0, 0];
    fc.assert(
      fc.property(rays, (all) => {
        const row = new Float64Array(rowLength(0));
        const lights = all.map(([z, turn, size]) => {
          const flat = Math.sqrt(1 - z * z);
          return rayLight(flat * Math.cos(turn), flat * Math.sin(turn), z, size);
        });
        for (const light of lights) addRay(row, light, { direct: 1, kept: 1, total: 1, inner: 0 }, planes);
        const kept = new Float64Array(POINT_LENGTH);
        keepPoint(row, 0, kept, 0);
        const level = rowLevelAt(kept, 0);
        let best = 0;
        for (let i = 0; i < 10_000; i++) {
          const z = 1 - (2 * i + 1) / 10_000;
          const turn = i * Math.PI * (3 - Math.sqrt(5));
          const flat = Math.sqrt(1 - z * z);
          const [nx, ny] = [flat * Math.cos(turn), flat * Math.sin(turn)];
          best = Math.max(
            best,
            lights.reduce(
              (total, light) => total + Math.max(0, nx * light.x + ny * light.y + z * light.z),
              0,
            ),
          );
        }
        expect(level).toBeLessThan(best * 1.001);
        expect(level).toBeGreaterThan(best * 0.93);
        sum += level / best;
        count += 1;
      }),
      { numRuns: 200 },
    );
    expect(sum / count).toBeGreaterThan(0.99);
  });
});
