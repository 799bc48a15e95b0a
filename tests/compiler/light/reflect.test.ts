/**
 * Light thrown back by surfaces: closed forms, a tracer of single photons written apart
 * from everything else, and what pale surroundings do to a rack.
 */

import { describe, expect, it } from 'vitest';
import { faceColumn, lightField } from '../../../compiler/light/field.ts';
import { ALL } from '../../../compiler/light/film.ts';
import { exitances, patchesOf, patchRay, surfacesOf, viewsBetween } from '../../../compiler/light/reflect.ts';
import { SCALAR } from '../../../compiler/light/row.ts';
import type { ResolvedShelf, SurfaceSide, Vec3 } from '../../../compiler/plan/plan.ts';
import { readPlan } from '../../../compiler/read-plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { BOARDS, samplePlan } from '../../support/boards.ts';
import { pantry, shelf } from './rack.ts';

const NOTHING = { stops: [], veils: [] };
const SIDES: readonly SurfaceSide[] = ['deck', 'above', 'back', 'front', 'left', 'right'];

describe('closed forms', () => {
  it('a uniformly lit disc gives ρE·R²/(R²+h²) on its axis (own)', () => {
    const [radius, height, reflects, lit] = [0.4, 0.6, 0.8, 500];
    const square = {
      corner: [-radius, -radius, 0],
      along: [2 * radius, 0, 0],
      across: [0, 2 * radius, 0],
      normal: [0, 0, 1],
      reflects,
    } as const;
    let found = 0;
    for (const patch of patchesOf(square, [48, 48])) {
      if (Math.hypot(patch.at[0], patch.at[1]) > radius) continue;
      const ray = sure(patchRay([0, 0, height], patch));
      found -= ray.normal * ray.toward[2] * reflects * lit;
    }
    expect(found / ((reflects * lit * radius ** 2) / (radius ** 2 + height ** 2))).toBeCloseTo(1, 2);
  });

  it('between two wide planes the lit one sends out ρE/(1 − ρ²), the other ρ times that (own)', () => {
    const plane = (z: number, up: 1 | -1) =>
      patchesOf(
        {
          corner: [0, 0, z],
          along: [6, 0, 0],
          across: [0, 6, 0],
          normal: [0, 0, up],
          reflects: 0.6,
        },
        [24, 24],
      );
    const patches = [...plane(0, 1), ...plane(0.5, -1)];
    const falling = patches.map(({ normal }) => (normal[2] > 0 ? 100 : 0));
    const sent = exitances(patches, falling, viewsBetween(patches, NOTHING, ALL));
    const middle = 12 * 24 + 12;
    // Planes of this width let a few hundredths out at their edges.
    for (const share of [itemAt(sent, middle) / 60, itemAt(sent, 576 + middle) / 36]) {
      expect(share * (1 - 0.36)).toBeGreaterThan(0.92);
      expect(share * (1 - 0.36)).toBeLessThan(1.01);
    }
  });

  it('in a closed box, as in an integrating sphere, all surfaces send out about ρΦ/(1 − ρ) (own)', () => {
    const made: ResolvedShelf = {
      ...shelf('s', 0, 600, 500, 400),
      reflects: Object.fromEntries(SIDES.map((side) => [side, 0.7])),
    };
    const patches = surfacesOf(made).flatMap((surface) => patchesOf(surface));
    const falling = patches.map(({ normal }) => (normal[2] > 0 ? 100 : 0));
    const sent = exitances(patches, falling, viewsBetween(patches, NOTHING, ALL));
    const flux = (values: ArrayLike<number>) =>
      patches.reduce((sum, { area }, i) => sum + area * itemAt(values, i), 0);
    expect(flux(sent) / ((0.7 * flux(falling)) / 0.3)).toBeGreaterThan(0.9);
    expect(flux(sent) / ((0.7 * flux(falling)) / 0.3)).toBeLessThan(1.02);
  });
});

/** A small repeatable source of random numbers (Lehmer, 48271 mod 2³¹ − 1). */
function random(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 48_271) % 2_147_483_647;
    return state / 2_147_483_647;
  };
}

/** A direction about a unit axis, as often as its cosine. */
function flatRay(axis: Vec3, next: () => number): Vec3 {
  const [turn, up] = [2 * Math.PI * next(), Math.sqrt(next())];
  const out = Math.sqrt(1 - up * up);
  const u: Vec3 = Math.abs(axis[2]) > 0.5 ? [1, 0, 0] : [0, 0, 1];
  const v: Vec3 = [
    axis[1] * u[2] - axis[2] * u[1],
    axis[2] * u[0] - axis[0] * u[2],
    axis[0] * u[1] - axis[1] * u[0],
  ];
  return ([0, 1, 2] as const).map(
    (i) => up * axis[i] + out * (Math.cos(turn) * u[i] + Math.sin(turn) * v[i]),
  ) as unknown as Vec3;
}

describe('against single photons', () => {
  it('the light that falls on each side of a shelf, all bounces, within 8 % of what falls on the most lit', () => {
    const size: Vec3 = [0.9, 0.4, 0.5];
    const reflects = { deck: 0.8, above: 0.6, back: 0.8, front: 0, left: 0.4, right: 0.2 };
    const walls: readonly { side: SurfaceSide; axis: 0 | 1 | 2; high: boolean }[] = [
      { side: 'deck', axis: 2, high: false },
      { side: 'above', axis: 2, high: true },
      { side: 'front', axis: 1, high: false },
      { side: 'back', axis: 1, high: true },
      { side: 'left', axis: 0, high: false },
      { side: 'right', axis: 0, high: true },
    ];
    const [next, photons] = [random(7), 60_000];
    const lamp: Vec3 = [0.45, 0.05, 0.3];
    const landed: Record<string, number> = {};
    for (let n = 0; n < photons; n++) {
      let at = lamp;
      let way = flatRay([0, 1, 0], next);
      for (let alive = true; alive; ) {
        const hits = walls
          .map((wall) => {
            const gap = (wall.high ? size[wall.axis] : 0) - at[wall.axis];
            const time = gap / way[wall.axis];
            return { wall, time: time > 1e-9 ? time : Number.POSITIVE_INFINITY };
          })
          .sort((a, b) => a.time - b.time);
        const { wall, time } = itemAt(hits, 0);
        landed[wall.side] = (landed[wall.side] ?? 0) + 1;
        at = [at[0] + time * way[0], at[1] + time * way[1], at[2] + time * way[2]];
        alive = next() < reflects[wall.side];
        const inward = [0, 1, 2].map((i) => (i === wall.axis ? (wall.high ? -1 : 1) : 0));
        way = flatRay(inward as unknown as Vec3, next);
      }
    }
    // The same with patches: every side as a surface, what throws nothing back only catching.
    const made = shelf('s', 0, 900, 400, 500);
    const all = { ...made, reflects: Object.fromEntries(SIDES.map((side) => [side, 1])) };
    const names = SIDES.flatMap((side) => Array.from({ length: 18 }, () => side));
    const patches = surfacesOf(all)
      .flatMap((surface) => patchesOf(surface))
      .map((patch, n) => ({ ...patch, reflects: reflects[itemAt(names, n)] }));
    const falling = patches.map(({ at, normal }) => {
      const d = [at[0] - lamp[0], at[1] - lamp[1], at[2] - lamp[2]] as const;
      const r = Math.hypot(...d);
      const cosine = -(d[0] * normal[0] + d[1] * normal[1] + d[2] * normal[2]) / r;
      return (Math.max(0, d[1] / r) * Math.max(0, cosine)) / Math.PI / r ** 2;
    });
    const views = viewsBetween(patches, NOTHING, ALL);
    const sent = exitances(patches, falling, views);
    const got: Record<string, number> = {};
    for (const [n, { area }] of patches.entries()) {
      const thrown = itemAt(views, n).reduce((sum, share, j) => sum + share * itemAt(sent, j), 0);
      const side = itemAt(names, n);
      got[side] = (got[side] ?? 0) + area * (itemAt(falling, n) + thrown);
    }
    const most = Math.max(...Object.values(landed)) / photons;
    for (const side of SIDES) {
      expect(Math.abs((got[side] ?? 0) - (landed[side] ?? 0) / photons), side).toBeLessThan(0.08 * most);
    }
  });
});

describe('pale surroundings', () => {
  const lit = (share: number) => {
    const made = pantry('screened');
    const reflects = Object.fromEntries(SIDES.map((side) => [side, share]));
    const field = lightField({ ...made, shelves: made.shelves.map((one) => ({ ...one, reflects })) });
    const row = itemAt(itemAt(sure(field.zone([0, 0, 0, 0], 0)).outputs, 0)?.means ?? [], 0);
    return {
      scalar: itemAt(row, SCALAR),
      contrast: itemAt(row, faceColumn(field, 270)) / itemAt(row, faceColumn(field, 90)),
    };
  };
  it('light a bag more and soften its contrast, the more the paler', () => {
    const [black, grey, white] = [lit(0), lit(0.4), lit(0.8)];
    expect(grey.scalar).toBeGreaterThan(black.scalar * 1.02);
    expect(white.scalar).toBeGreaterThan(grey.scalar * 1.02);
    expect(grey.contrast).toBeLessThan(black.contrast * 0.9);
    expect(white.contrast).toBeLessThan(grey.contrast * 0.9);
  });
});

describe('in a plan', () => {
  it('words and shares stand for all shelves, and a shelf may differ; a wire deck throws back what its wires do', () => {
    const text = samplePlan('wire-rack').replace(
      'zones:',
      'surfaces: { deck: pale, back: white, left: 30 % }\n\nzones:',
    );
    const { plan } = readPlan(text.replace('height: 34 in }', 'height: 34 in, surfaces: { back: dark } }'), {
      boards: BOARDS,
    });
    expect(plan?.shelves[0]?.reflects).toEqual({ deck: expect.closeTo(0.12, 9), back: 0.8, left: 0.3 });
    expect(plan?.shelves[1]?.reflects).toEqual({ deck: expect.closeTo(0.12, 9), back: 0.2, left: 0.3 });
    expect(plan?.assumed.some(({ path }) => path === 'surfaces')).toBe(false);
  });
  it('left out, nothing throws light back, and that is told as assumed', () => {
    const { plan } = readPlan(samplePlan('pantry'), { boards: BOARDS });
    expect(plan?.shelves[0]?.reflects).toEqual({});
    expect(plan?.assumed.find(({ path }) => path === 'surfaces')?.confidence).toBe('low');
  });
});
