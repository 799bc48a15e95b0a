/**
 * Shelves, zones, lamps and bags of the resolved plan, against figures worked
 * out by hand from what the plan language says.
 */

import { describe, expect, test } from 'vitest';
import { fillHeight } from '../../../compiler/plan/block-height.ts';
import { assert, itemAt, sure } from '../../../shared/assert.ts';
import { kilograms, millimetres } from '../../../shared/units.ts';
import { type Change, codesOf, planOf, readChanged, smallest } from '../../support/read-plan.ts';

const near = (values: readonly number[], expected: readonly number[]) => {
  expect(values).toHaveLength(expected.length);
  for (const [i, value] of values.entries()) expect(value).toBeCloseTo(expected[i] ?? Number.NaN, 2);
};

const NO_BACK: Change = ['  back: { beside: A, side: back, output: 2, flux: 350 lm }\n', ''];
const FRONT = (text: string): Change => ['beside: A, side: front, output: 1, flux: 350 lm', text];

describe('zones', () => {
  test('leave 3 in where lamps stand', () => {
    const zone = itemAt(smallest().zones, 0);
    near(zone.x, [0, 36 * 25.4]);
    near(zone.y, [3 * 25.4, 11 * 25.4]);
    near(itemAt(smallest(NO_BACK).zones, 0).y, [3 * 25.4, 14 * 25.4]);
  });

  test('leave 3 in for lamps by coordinates at an edge', () => {
    const left = FRONT(
      'strip: { from: [1 in, 2 in, 12 in], to: [1 in, 10 in, 12 in] }, facing: right, output: 1, flux: 350 lm',
    );
    const zone = itemAt(smallest(left, NO_BACK).zones, 0);
    near(zone.x, [3 * 25.4, 36 * 25.4]);
    near(zone.y, [0, 14 * 25.4]);
  });

  test('spread their bags evenly, named from the front left row by row', () => {
    const zone = itemAt(
      smallest(['[5, 1]', '[2, 2], y: [0 in, 14 in]'], ['[5 in, 8 in]', '[5 in, 6 in]']).zones,
      0,
    );
    expect(zone.places.map(({ name }) => name)).toEqual(['A-1', 'A-2', 'A-3', 'A-4']);
    near(
      zone.places.map(({ x }) => x / 25.4),
      [9, 27, 9, 27],
    );
    near(
      zone.places.map(({ y }) => y / 25.4),
      [3.5, 3.5, 10.5, 10.5],
    );
  });
});

describe('lamps beside a zone', () => {
  test('stand 2 in off, 1 in short at each end, at the middle of the headspace', () => {
    const [front, back] = smallest().lamps;
    // 5 lb at 0.65 kg/L on 5 in x 8 in: 135.2 mm of block under 381 mm of bag.
    const z = (135.2 + 381) / 2;
    const [frontStrip, backStrip] = [sure(front).shape, sure(back).shape];
    assert(frontStrip.kind === 'strip' && backStrip.kind === 'strip', 'both are strips');
    near(frontStrip.from.slice(0, 2), [25.4, 25.4]);
    near(frontStrip.to.slice(0, 2), [35 * 25.4, 25.4]);
    expect(frontStrip.from[2]).toBeCloseTo(z, 0);
    near(backStrip.from.slice(0, 2), [25.4, 13 * 25.4]);
    expect(sure(front).facing).toEqual([0, 1, 0]);
    expect(sure(back).facing).toEqual([0, -1, 0]);
  });

  test('take gap, up and length', () => {
    const lamp = itemAt(
      smallest(
        FRONT('beside: A, side: front, gap: 1 in, up: 10 in, length: 20 in, output: 1, flux: 100 lm/ft'),
      ).lamps,
      0,
    );
    if (lamp.shape.kind !== 'strip') throw new Error();
    near(lamp.shape.from, [8 * 25.4, 2 * 25.4, 254]);
    near(lamp.shape.to, [28 * 25.4, 2 * 25.4, 254]);
    expect(lamp.flux).toBeCloseTo((100 * 20) / 12, 3);
  });

  test('above: just above the bags, or under the deck', () => {
    const above = FRONT('beside: A, side: above, output: 1, flux: 350 lm');
    const heights: readonly (readonly [bag: string, up: number])[] = [
      ['15 in', 17],
      ['19 in', 20],
    ];
    for (const [bag, up] of heights) {
      const lamp = itemAt(smallest(above, ['height: 15 in', `height: ${bag}`]).lamps, 0);
      if (lamp.shape.kind !== 'strip') throw new Error();
      expect(lamp.facing).toEqual([0, 0, -1]);
      expect(lamp.shape.from[2]).toBeCloseTo(up * 25.4, 3);
    }
  });

  test('take what a fixture says, and override it', () => {
    const fixtures: Change = [
      'lamps:',
      'fixtures: { eye: { spot: 40 deg, flux: 200 lm, power: 3 W, dimmable: yes } }\nlamps:',
    ];
    const lamp = itemAt(
      smallest(fixtures, FRONT('beside: A, side: left, fixture: eye, output: 1, power: 2 W')).lamps,
      0,
    );
    expect(lamp).toMatchObject({ flux: 200, power: 2, dimmable: true, shape: { kind: 'spot', beam: 40 } });
    expect(lamp.facing).toEqual([1, 0, 0]);
  });
});

describe('lamps by coordinates', () => {
  const spot = (facing: string) =>
    FRONT(`spot: { at: [18 in, 0 in, 12 in] }, facing: ${facing}, output: 1, flux: 350 lm`);
  test.each<[string, readonly number[]]>([
    ['back', [0, 1, 0]],
    ['45 deg', [Math.SQRT1_2, Math.SQRT1_2, 0]],
    ['[0, 3, -4]', [0, 0.6, -0.8]],
  ])('facing %s', (facing, expected) => {
    near(itemAt(smallest(spot(facing)).lamps, 0).facing, expected);
  });

  test('need to say which way they face', () => {
    expect(codesOf(FRONT('spot: { at: [18 in, 0 in, 12 in] }, output: 1, flux: 350 lm'))).toContain(
      'key-missing',
    );
  });
});

describe('bags', () => {
  test('block of 2.5 kg at 0.65 kg/L on 203 mm x 127 mm stands about 149 mm high (own arithmetic)', () => {
    const footprint = [millimetres(203), millimetres(127)] as const;
    expect(fillHeight({ footprint, fill: kilograms(2.5), density: 0.65 })).toBeCloseTo(149.2, 1);
  });

  test('mix by shares of dry mass, with what is assumed', () => {
    const plan = smallest([
      'fill: 5 lb',
      'fill: 5 lb, mix: { parts: { oak sawdust: { share: 80 %, moisture: 12 % }, bran: 0.2 }, spawn: 4 % }',
    ]);
    expect(itemAt(plan.bags, 0).mix).toEqual({
      parts: [
        { name: 'oak sawdust', share: 0.8, moisture: 0.12 },
        { name: 'bran', share: 0.2, moisture: 0.1 },
      ],
      moisture: 0.6,
      spawn: 0.04,
    });
    const paths = plan.assumed.map(({ path }) => path);
    expect(paths).toContain('bags.tall.mix.parts.bran.moisture');
    expect(paths).toContain('bags.tall.density');
  });
});

describe('the rest of the rack', () => {
  test('like copies and overrides, through several steps', () => {
    const { shelves } = planOf(
      readChanged('wire-rack', [['three: { like: one,', 'three: { like: two, clear: 22 in,']]),
    );
    expect(shelves.map(({ height }) => Math.round(height / 25.4))).toEqual([12, 34, 56, 78]);
    expect(itemAt(shelves, 2).clear).toBeCloseTo(22 * 25.4, 6);
    expect(itemAt(shelves, 2).deckPasses).toBe(0.8);
  });

  test('screens across the depth, the width, or between corners', () => {
    const { screens } = smallest([
      'bags:\n',
      'screens: { a: { x: 14.4 in }, b: { y: 2 in }, c: { from: [1 in, 2 in, 0 in], to: [1 in, 5 in, 9 in] } }\nbags:\n',
    ]);
    near(itemAt(screens, 0).to, [365.76, 355.6, 508]);
    near(itemAt(screens, 1).to, [914.4, 50.8, 508]);
    near(itemAt(screens, 2).to, [25.4, 127, 228.6]);
  });

  test('several controllers', () => {
    const plan = smallest(
      [
        'shelves:',
        'controllers:\n  one: {}\n  two: { board: mega328-dim6, supply: { volts: 12 V, rating: 5 A } }\nshelves:',
      ],
      ['output: 1', 'output: one/1'],
      ['output: 2', 'output: two/6'],
    );
    expect(plan.controllers.map(({ name, unit, board }) => [name, unit, board.id])).toEqual([
      ['one', 1, 'mega328-relay8'],
      ['two', 2, 'mega328-dim6'],
    ]);
    expect(itemAt(plan.controllers, 1).supply).toEqual({ volts: 12, amperes: 5 });
    expect(plan.lamps.map(({ output }) => output)).toEqual([
      { controller: 0, number: 1 },
      { controller: 1, number: 6 },
    ]);
  });

  test('background, room and growth', () => {
    const plan = smallest([
      'bags:\n',
      'background: { window: { from: left, level: 5 fc, hours: [6 am, 6:30 pm] } }\nroom: {}\ngrowth: { rate: [1 mm/d, 2 mm/d, 3 mm/d], tip: 9 mm, lag: 12 h }\nbags:\n',
    ]);
    expect(plan.background[0]).toMatchObject({ from: 270, hours: [360, 1110], on: [0, 1, 2, 3, 4, 5, 6] });
    expect(itemAt(plan.background, 0).level).toBeCloseTo(53.82, 2);
    expect(plan.room).toEqual({ low: 18, high: 27 });
    expect(plan.growth.rate).toEqual({ low: 1, mid: 2, high: 3 });
    expect(plan.growth.tip).toEqual({ low: 9, mid: 9, high: 9 });
    expect(plan.growth.lag.mid).toBe(0.5);
    expect(plan.growth.pull.mid).toBe(0.4);
  });

  test('anchors and aliases read as if written out', () => {
    const plan = smallest(
      ['counter: { size: [36 in, 14 in],', 'counter: { height: 10 in, size: &size [36 in, 14 in],'],
      ['zones:', '  other: { size: *size, height: 40 in, clear: 20 in }\nzones:'],
      ['A: { bags', 'A: { shelf: counter, bags'],
    );
    expect(itemAt(plan.shelves, 1).width).toBeCloseTo(914.4, 6);
  });
});
