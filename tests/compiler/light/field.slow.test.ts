/**
 * The field of a whole rack: prototype figures, films, boards, superposition, bounce.
 */

import { describe, expect, it } from 'vitest';
import { faceColumn, type LightField, lightField, type ZoneField } from '../../../compiler/light/field.ts';
import { bagBoxes, gridPoints } from '../../../compiler/light/headspace.ts';
import { FACES, POINT_LENGTH, SCALAR } from '../../../compiler/light/row.ts';
import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import { itemAt, sure } from '../../../shared/assert.ts';
import { degrees, millimetres } from '../../../shared/units.ts';
import { along, slowLight } from './brute.ts';
import { bag, pantry, plan, shelf, strip, wireRack, zone } from './rack.ts';

const ALL = [0, 0, 0, 0];
/** Sum of the rows of means of some outputs for a bag, lx. */
function sum(field: ZoneField, outputs: readonly number[], bagIndex: number): number[] {
  const rows = outputs.map((output) => itemAt(itemAt(field.outputs, output).means, bagIndex));
  return Array.from(itemAt(rows, 0), (_, i) => rows.reduce((total, row) => total + itemAt(row, i), 0) / 100);
}
const offLeft = ([x, y]: readonly number[]): number =>
  Math.abs((Math.atan2(sure(y), -sure(x)) * 180) / Math.PI);
const contrastLeft = (field: LightField, row: readonly number[]): number =>
  itemAt(row, faceColumn(field, 270)) / itemAt(row, faceColumn(field, 90));

/** Film as an earlier prototype took it: what it scatters comes evenly from all sides. */
const EVEN = { forward: 0, returns: 0 };

describe('pantry-open, worst bag, with even scatter (figures of an earlier prototype, written independently)', () => {
  const field = lightField(pantry('open'), { film: EVEN });
  const a = sure(field.zone(ALL, 0));
  it('A-left alone pulls 12.1° off at 6.35 : 1', () => {
    const row = sum(a, [0], 0);
    expect(offLeft(row)).toBeCloseTo(12.1, 1);
    expect(contrastLeft(field, row)).toBeCloseTo(6.35, 1);
  });
  it('with B-right also on 12.8° at 4.80 : 1', () => {
    const row = sum(a, [0, 3], 0);
    expect(offLeft(row)).toBeCloseTo(12.8, 1);
    expect(contrastLeft(field, row)).toBeCloseTo(4.8, 1);
  });
  it('A-left leaks 27 lx into B and nothing through the solid deck', () => {
    expect(sum(sure(field.zone(ALL, 1)), [0], 0)[faceColumn(field, 270)]).toBeCloseTo(27, 0);
    expect(sure(field.zone(ALL, 2)).outputs[0]).toBeUndefined();
  });
  it('a screen in the middle stops the leak', () => {
    expect(sure(lightField(pantry('screened')).zone(ALL, 1)).outputs[0]).toBeUndefined();
  });
});

/** One bag with one far, narrow source of light square to its left face. */
function farLamp(scatters: number, passes = 0.7): ResolvedPlan {
  const far: Vec3 = [-60_000, 225, 310];
  return plan({
    shelves: [shelf('s', 0, 600, 450, 520)],
    zones: [zone('A', 0, [200, 400], [165, 285], 1, 1)],
    lamps: [
      {
        ...strip('far', 0, 1, far, far, [1, 0, 0], 1e6),
        shape: { kind: 'spot', at: far, beam: degrees(20) },
      },
    ],
    bags: [bag({ film: { passes, scatters } })],
  });
}

describe('film', () => {
  it.each([
    [0.4, 7],
    [0.5, 5],
    [0.6, 11 / 3],
  ])('that scatters %f evenly allows at most %f : 1, (4 − 3s)/s (own)', (scatters, most) => {
    const field = lightField(farLamp(scatters), { film: EVEN });
    const row = sum(sure(field.zone([0], 0)), [0], 0);
    expect(contrastLeft(field, row) / most).toBeCloseTo(1, 3);
  });
  it('that scatters as published for wet polyethylene (67 % passed, 22 % of it straight) has the contrast its film allows', () => {
    const field = lightField(farLamp(0.78, 0.67));
    const row = sum(sure(field.zone([0], 0)), [0], 0);
    // A third of the lobe as the light itself, the rest as (1 + cos)/4; of 33 % not passed half comes back, again and
    // again: before 0.22 + 0.78/3 + 0.52/2 + r/4 of 0.67, behind r/4, r = 0.165/0.835 (own).
    const even = 0.165 / 0.835 / 4;
    expect(contrastLeft(field, row)).toBeCloseTo((0.22 + 0.26 + 0.26 + even) / even, 1);
  });
  it('passes its share, and holds some of it back: scalar illuminance is p/(1 − (1 − p)/2) of that before it', () => {
    const scalar = (passes: number): number =>
      itemAt(sum(sure(lightField(farLamp(0.4, passes)).zone([0], 0)), [0], 0), SCALAR);
    expect(scalar(0.7) / scalar(1)).toBeCloseTo(0.7 / 0.85, 3);
  });
  it('is crossed twice more for a bag on the way: p² of the scalar left, of the vector what two lobes leave (own)', () => {
    const one = farLamp(0.4);
    const two = { ...one, zones: [zone('A', 0, [0, 400], [165, 285], 2, 1)] };
    const field = lightField(two);
    const zones = sure(sure(field.zone([0], 0)).outputs[0]);
    const [front, rear] = zones.means as [Int32Array, Int32Array];
    expect(itemAt(rear, SCALAR) / itemAt(front, SCALAR)).toBeCloseTo(0.7 ** 2, 2);
    expect(itemAt(rear, 0) / itemAt(front, 0)).toBeCloseTo((0.7 * (0.6 + (0.4 * 2) / 3)) ** 2, 2);
  });
});

describe('boards', () => {
  it('a wire deck passes 0.8 of what a free gap does', () => {
    const made = (passes: number) =>
      plan({
        shelves: [shelf('low', 0, 1200, 450, 520), shelf('high', 600, 1200, 450, 520, passes)],
        zones: [zone('A', 1, [500, 700], [165, 285], 1, 1)],
        lamps: [strip('l', 0, 1, [50, 100, 500], [50, 350, 500], [1, 0, 0], 400)],
      });
    const wire = itemAt(sure(lightField(made(0.8)).zone([0], 0)).outputs, 0);
    const free = itemAt(sure(lightField(made(1)).zone([0], 0)).outputs, 0);
    expect(itemAt(itemAt(wire.means, 0), SCALAR) / itemAt(itemAt(free.means, 0), SCALAR)).toBeCloseTo(0.8, 2);
  });
  it('light from outside goes round the edge of a solid board', () => {
    const made = plan({
      shelves: [shelf('low', 0, 600, 450, 520), shelf('high', 600, 600, 450, 520)],
      zones: [zone('A', 0, [200, 400], [165, 285], 1, 1)],
      lamps: [strip('out', 1, 1, [-200, 100, 100], [-200, 350, 100], [0.8, 0, -0.6], 400)],
    });
    expect(itemAt(sure(lightField(made).zone([0], 0)).outputs, 0).peak).toBeGreaterThan(100);
  });
});

describe('the field', () => {
  it('is that of every bit of the lamp traced by itself (bags, blocks and film that keeps all direction, by hand)', () => {
    const made = pantry('open');
    const field = lightField(made, { film: { forward: 1, returns: 0 } });
    const floor = 1.1;
    const boxes = itemAt(made.zones, 0).places.map((place) => bagBoxes(itemAt(made.bags, 0), place, floor));
    const points = gridPoints(itemAt(boxes, 0).headspace);
    const others = [
      ...boxes.map(({ block }) => ({ ...block, passes: 0 })),
      { ...itemAt(boxes, 1).headspace, passes: 0.49 },
    ];
    const bits = along([0.01, 0.08, floor + 0.33], [0.01, 0.37, floor + 0.33], 96);
    for (const n of [0, 22, 44]) {
      const slow = slowLight(itemAt(points, n), bits, [1, 0, 0], 400, [-1, 0, 0], others);
      const row = itemAt(itemAt(sure(field.zone(ALL, 0)).outputs, 0).points, 0);
      const at = n * POINT_LENGTH;
      expect((itemAt(row, at) / 100 / (slow.x * 0.7)).toFixed(2)).toBe('1.00');
    }
  });

  it('adds lamps up: two on one output give what they give apart', () => {
    const apart = pantry('open');
    const together = {
      ...apart,
      lamps: apart.lamps.map((lamp, n) =>
        n === 1 ? { ...lamp, output: itemAt(apart.lamps, 0).output } : lamp,
      ),
    };
    const [a, b] = [sure(lightField(apart).zone(ALL, 0)), sure(lightField(together).zone(ALL, 0))];
    const one = itemAt(itemAt(a.outputs, 0).means, 0);
    const two = itemAt(itemAt(a.outputs, 1).means, 0);
    const both = itemAt(itemAt(b.outputs, 0).means, 0);
    for (let i = 0; i < both.length; i++)
      expect(Math.abs(itemAt(both, i) - itemAt(one, i) - itemAt(two, i))).toBeLessThanOrEqual(1);
  });

  it('doubles with the flux', () => {
    const made = pantry('open');
    const twice = {
      ...made,
      lamps: made.lamps.map((lamp) => ({ ...lamp, flux: (lamp.flux * 2) as typeof lamp.flux })),
    };
    const once = itemAt(itemAt(sure(lightField(made).zone(ALL, 0)).outputs, 0).means, 0);
    const double = itemAt(itemAt(sure(lightField(twice).zone(ALL, 0)).outputs, 0).means, 0);
    for (let i = 0; i < once.length; i++)
      expect(Math.abs(itemAt(double, i) - 2 * itemAt(once, i))).toBeLessThanOrEqual(1);
  });

  it('opposite faces differ by the vector’s part across them', () => {
    for (const { means } of sure(lightField(wireRack()).zone(ALL, 1)).outputs.flatMap((one) => one ?? [])) {
      for (const row of means) {
        // Azimuths 0, 45, 90, 135: the pairs for y and x are the first and the third.
        expect(Math.abs(itemAt(row, FACES) - itemAt(row, FACES + 1) - itemAt(row, 1))).toBeLessThanOrEqual(2);
        expect(
          Math.abs(itemAt(row, FACES + 4) - itemAt(row, FACES + 5) - itemAt(row, 0)),
        ).toBeLessThanOrEqual(2);
      }
    }
  });

  it('puts background light on the side it comes from, through the film, and not behind a block', () => {
    const field = lightField(wireRack());
    const [shop] = sure(field.zone(ALL, 0)).background;
    const row = itemAt(sure(shop).means, 2);
    // 60 lx through a film that passes 0.7 and scatters 0.4 in a lobe of mean cosine 2/3, half of what it
    // does not pass coming back: 60·(0.7·(0.6 + 0.4·2/3) + r/4) and 60·r/4, r = 0.7·0.15/0.85 (own).
    expect(itemAt(row, faceColumn(field, 180)) / 100).toBeCloseTo(
      60 * (0.7 * (0.6 + 0.8 / 3) + 0.105 / 0.85 / 4),
      1,
    );
    expect(itemAt(row, faceColumn(field, 0)) / 100).toBeCloseTo((60 * 0.105) / 0.85 / 4, 1);
  });
});

describe('panels and spots', () => {
  it('a small panel, a spot of 120° and a short strip give a distant bag the same', () => {
    const at: Vec3 = [-900, 225, 310];
    const made = (shape: ResolvedPlan['lamps'][number]['shape']) =>
      plan({
        shelves: [shelf('s', 0, 600, 450, 520)],
        zones: [zone('A', 0, [200, 400], [165, 285], 1, 1)],
        lamps: [{ ...strip('l', 0, 1, at, at, [1, 0, 0], 400), shape }],
      });
    const level = (shape: ResolvedPlan['lamps'][number]['shape']): number =>
      itemAt(itemAt(itemAt(sure(lightField(made(shape)).zone([0], 0)).outputs, 0).means, 0), SCALAR);
    const spot = level({ kind: 'spot', at, beam: degrees(120) });
    const panel = level({ kind: 'panel', at, size: [millimetres(60), millimetres(60)] });
    const short = level({ kind: 'strip', from: [-900, 200, 310], to: [-900, 250, 310] });
    expect(panel / spot).toBeCloseTo(1, 2);
    expect(short / spot).toBeCloseTo(1, 2);
  });
  it('a panel half behind a screen settles on half', () => {
    const at: Vec3 = [-100, 225, 310];
    const made = plan({
      shelves: [shelf('s', 0, 600, 450, 520)],
      zones: [zone('A', 0, [299, 301], [224, 226], 1, 1)],
      bags: [bag({ footprint: [millimetres(2), millimetres(2)], fill: 0 as never })],
      lamps: [
        {
          ...strip('p', 0, 1, at, at, [1, 0, 0], 400),
          shape: { kind: 'panel', at, size: [millimetres(300), millimetres(300)] },
        },
      ],
    });
    const screened = {
      ...made,
      screens: [
        {
          name: 'x',
          shelf: 0,
          from: [-50, 225, -1000] as Vec3,
          to: [-50, 1000, 2000] as Vec3,
          span: { start: 0, end: 0 },
        },
      ],
    };
    const open = itemAt(itemAt(itemAt(sure(lightField(made).zone([0], 0)).outputs, 0).means, 0), SCALAR);
    const half = itemAt(itemAt(itemAt(sure(lightField(screened).zone([0], 0)).outputs, 0).means, 0), SCALAR);
    expect(half / open).toBeCloseTo(0.5, 1);
  });
});
