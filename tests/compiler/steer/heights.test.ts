/**
 * The light by height: layers of a headspace made by hand, worst of several bags.
 */

import { describe, expect, it } from 'vitest';
import { POINTS } from '../../../compiler/light/headspace.ts';
import { POINT_LENGTH } from '../../../compiler/light/row.ts';
import { heightsOf, worstHeights } from '../../../compiler/steer/heights.ts';

/** Points whose vector in layer k (five layers of nine) is `vectors[k]`, lx. */
function layers(vectors: readonly (readonly [number, number, number])[]): Float64Array {
  const points = new Float64Array(POINTS * POINT_LENGTH);
  for (let n = 0; n < POINTS; n++) points.set(vectors[Math.floor(n / 9)] ?? [0, 0, 0], n * POINT_LENGTH);
  return points;
}

describe('light by height', () => {
  const bag = heightsOf(
    layers([
      [-60, 0, 80],
      [0, 0, 0],
      [300, 0, 0],
      [0, 0, 0],
      [0, 50, -50],
    ]),
    1,
  );
  it('is told of the lowest fifth, the middle and the top, each with the height it comes from', () => {
    expect(bag.lowest.level).toBeCloseTo(100, 9);
    expect(bag.lowest.elevation).toBeCloseTo((Math.asin(0.8) * 180) / Math.PI, 9);
    expect(bag.middle).toEqual({ level: 300, elevation: 0 });
    expect(bag.top.level).toBeCloseTo(50 * Math.SQRT2, 9);
    expect(bag.top.elevation).toBeCloseTo(-45, 9);
  });
  it('of several bags is that of the dimmest, and of the steepest', () => {
    const other = heightsOf(
      layers([
        [0, 10, 0],
        [0, 0, 0],
        [0, 0, 0],
        [0, 0, 0],
        [0, 1, -100],
      ]),
      1,
    );
    const worst = worstHeights([bag, other]);
    expect(worst.lowest.level).toBeCloseTo(10, 9);
    expect(worst.lowest.elevation).toBeCloseTo(53.13, 2);
    expect(worst.middle).toEqual({ level: 0, elevation: 0 });
    expect(worst.top.elevation).toBeCloseTo(-89.43, 2);
  });
});
