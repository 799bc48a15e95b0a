/**
 * The map of the level over a shelf against the light field at the bags, hand
 * cases in the open, and lamps traced bit by bit.
 */

import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { lightField } from '../../../compiler/light/field.ts';
import { bagBoxes } from '../../../compiler/light/headspace.ts';
import { type LevelSheet, LevelSheets, levelsOn } from '../../../compiler/light/level-sheet.ts';
import { blockHeight } from '../../../compiler/plan/block-height.ts';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import { FULL } from '../../../compiler/solve/patterns.ts';
import { lookAt } from '../../../compiler/steer/figures.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { degrees } from '../../../shared/units.ts';
import { anyRack } from './any-rack.ts';
import { along, slowLight } from './brute.ts';
import { bag, pantry, plan, shelf, strip, wireRack, zone } from './rack.ts';

const allLamps = ({ lamps }: ResolvedPlan) => lamps.map((_, n) => [n, 1] as const);
const allLight = ({ background }: ResolvedPlan) => background.map((_, n) => n);

/** The level at an open place, mm on the shelf. */
function openLevel(made: ResolvedPlan, sheet: LevelSheet, x: number, y: number): number {
  const levels = levelsOn(sheet, allLamps(made), allLight(made));
  const n = sheet.places.findIndex(
    (one) => !one.inside && Math.abs(one.x - x) < 0.01 && Math.abs(one.y - y) < 0.01,
  );
  return itemAt(levels, n);
}

/** Holds the map at the heights of the field's cells against the field, all lamps at full. */
function holdAgainstField(made: ResolvedPlan): void {
  const occupancy = made.zones.map(() => 0);
  const field = lightField(made);
  const sheets = new LevelSheets(made);
  const kind = itemAt(made.bags, 0);
  const block = blockHeight(kind);
  // What is too weak to matter is left out of either.
  const most = 0.05 + 0.03 * (made.lamps.length + made.background.length);
  made.shelves.forEach((_, index) => {
    for (const layer of [0, 2, 4]) {
      const sheet = sheets.sheet(occupancy, index, block + ((kind.height - block) * (layer + 0.5)) / 5);
      const levels = levelsOn(sheet, allLamps(made), allLight(made));
      made.zones.forEach((one, zoneIndex) => {
        if (one.shelf !== index) return;
        const zoneField = sure(field.zone(occupancy, zoneIndex));
        const burning = { minutes: 1, levels: field.outputs.map((_, n) => [n, FULL] as const) };
        one.places.forEach((_, n) => {
          const told = lookAt(zoneField, n, burning, allLight(made)).levels.slice(9 * layer, 9 * layer + 9);
          const mapped = sheet.places.flatMap(({ inside }, at) =>
            inside?.zone === zoneIndex && inside.bag === n ? [itemAt(levels, at)] : [],
          );
          expect(mapped).toHaveLength(9);
          for (const [cell, level] of mapped.entries())
            expect(Math.abs(level - itemAt(told, cell))).toBeLessThan(most);
        });
      });
    }
  });
}

describe('the map of the level in the bags', () => {
  it.each([
    ['pantry with screens', () => pantry('screened')],
    ['pantry without', () => pantry('open')],
    ['wire rack', wireRack],
  ])('is the light field: %s', (_, made) => holdAgainstField(made()));

  it('is the light field where surfaces throw light back', () => {
    const made = pantry('open');
    const pale = { deck: 0.5, above: 0.8, left: 0.7, back: 0.7 };
    holdAgainstField({ ...made, shelves: made.shelves.map((one) => ({ ...one, reflects: pale })) });
  });

  it('is the light field on random racks', () => {
    fc.assert(fc.property(anyRack(), holdAgainstField), { numRuns: 6, seed: 4 });
  });
});

describe('the map of the level in the open', () => {
  it('is that of the hand cases: a small source of 1000 lm 0.4 m up, below and 0.3 m aside (own closed form)', () => {
    // 15 places of 37.5 mm: the first and the ninth are 0.3 m apart.
    const at: Vec3 = [18.75, 18.75, 400];
    const lamp = strip('l', 0, 1, at, at, [0, 0, -1], 1000);
    const made = plan({
      shelves: [shelf('s', 0, 562.5, 562.5, 1200)],
      lamps: [{ ...lamp, shape: { kind: 'spot', at, beam: degrees(120) } }],
    });
    const sheet = new LevelSheets(made).sheet([], 0, 0);
    expect(sheet.step).toEqual([37.5, 37.5]);
    expect(openLevel(made, sheet, 18.75, 18.75)).toBeCloseTo(1989.437, 1);
    expect(openLevel(made, sheet, 318.75, 18.75)).toBeCloseTo(1018.5916, 1);
    // At 5 mm, and turned: half of one and half of the other.
    expect(levelsOn(sheet, [[0, 0.5]], [])[0]).toBeCloseTo(994.72, 1);
  });

  it('is that of a strip opposite its end: 0.6426991 below, 0.25 along (Offshore Electrical Engineering Manual, ch. 14)', () => {
    const [from, to]: [Vec3, Vec3] = [
      [18.75, 18.75, 1000],
      [1018.75, 18.75, 1000],
    ];
    // A thousand candela a metre.
    const lamp = strip('l', 0, 1, from, to, [0, 0, -1], 1000 * Math.PI);
    const made = plan({ shelves: [shelf('s', 0, 562.5, 562.5, 1200)], lamps: [lamp] });
    const sheet = new LevelSheets(made).sheet([], 0, 0);
    expect(openLevel(made, sheet, 18.75, 18.75)).toBeCloseTo(Math.hypot(642.6991, 250), 1);
  });

  it('is that of every bit of the lamp traced by itself, behind bags of clear film and in the shadow of a block', () => {
    const made = plan({
      shelves: [shelf('s', 0, 1200, 440, 520)],
      zones: [zone('A', 0, [260, 460], [160, 280], 1, 1)],
      lamps: [strip('l', 0, 1, [10, 80, 330], [10, 370, 330], [1, 0, 0], 400)],
      bags: [bag({ film: { passes: 0.7, scatters: 0 } })],
    });
    const kind = itemAt(made.bags, 0);
    const { block, headspace } = bagBoxes(kind, itemAt(itemAt(made.zones, 0).places, 0), 0);
    const boxes = [
      { ...block, passes: 0 },
      { ...headspace, passes: 0.49 },
    ];
    const bits = along([0.01, 0.08, 0.33], [0.01, 0.37, 0.33], 64);
    const sheets = new LevelSheets(made, { film: { forward: 1, returns: 0 } });
    for (const [x, y, z] of [
      [540, 220, 330],
      [540, 220, 60],
      [540, 100, 300],
      [100, 420, 200],
    ] as const) {
      const slow = slowLight([x / 1000, y / 1000, z / 1000], bits, [1, 0, 0], 400, [0, 0, 1], boxes);
      const level = openLevel(made, sheets.sheet([0], 0, z), x, y);
      expect(Math.abs(level - Math.hypot(slow.x, slow.y, slow.z))).toBeLessThan(0.02 * level + 0.05);
    }
  });

  it('has what a pale board above throws back: bit by bit, by the cosine law (by hand)', () => {
    const at: Vec3 = [600, 220, 100];
    const lamp = strip('l', 0, 1, at, at, [0, 0, 1], 1000);
    const made = plan({
      shelves: [{ ...shelf('s', 0, 1200, 440, 520), reflects: { above: 0.8 } }],
      lamps: [{ ...lamp, shape: { kind: 'spot', at, beam: degrees(120) } }],
    });
    const sheet = new LevelSheets(made).sheet([], 0, 50);
    // The place lies lower than the lamp, which shines up: nothing comes straight.
    const place = itemAt(sheet.places, 7);
    const p: Vec3 = [place.x / 1000, place.y / 1000, 0.05];
    const sum = { x: 0, y: 0, z: 0 };
    const [nx, ny] = [60, 22];
    for (let k = 0; k < nx * ny; k++) {
      const patch: Vec3 = [(1.2 / nx) * ((k % nx) + 0.5), (0.44 / ny) * (Math.floor(k / nx) + 0.5), 0.519];
      const d = [patch[0] - 0.6, patch[1] - 0.22, patch[2] - 0.1] as const;
      const cosine = d[2] / Math.hypot(...d);
      const falling = ((1000 / Math.PI) * cosine * cosine) / Math.hypot(...d) ** 2;
      const back = slowLight(p, [patch], [0, 0, -1], (0.8 * falling * 1.2 * 0.44) / (nx * ny));
      for (const axis of ['x', 'y', 'z'] as const) sum[axis] += back[axis];
    }
    const level = openLevel(made, sheet, place.x, place.y);
    expect(level).toBeGreaterThan(50);
    // The model takes 18 patches by their middles.
    expect(Math.abs(level / Math.hypot(sum.x, sum.y, sum.z) - 1)).toBeLessThan(0.05);
  });

  it('has no place in the open inside a bag, and those in its headspace only at its height', () => {
    const made = pantry('open');
    const sheets = new LevelSheets(made);
    const inside = (height: number): number =>
      sheets.sheet([0, 0, 0, 0], 0, height).places.filter((one) => one.inside).length;
    expect([inside(100), inside(300), inside(490)]).toEqual([0, 36, 0]);
    const under = sheets.sheet([0, 0, 0, 0], 0, 100).places;
    const over = sheets.sheet([0, 0, 0, 0], 0, 490).places;
    expect(over).toHaveLength(30 * 12);
    const { x, y } = itemAt(itemAt(made.zones, 0).places, 0);
    for (const place of under) expect(Math.abs(place.x - x) > 80 || Math.abs(place.y - y) > 41).toBe(true);
    expect(sheets.sheet([-1, 0, 0, 0], 0, 100).places.length).toBeGreaterThan(under.length);
  });
});
