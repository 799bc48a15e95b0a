/**
 * The light at three heights of a headspace: its lowest fifth, where growth starts, its
 * middle and its top.
 *
 * Always holds: levels are lux, elevations degrees above the level; of several bags the
 * dimmest tells the level and the steepest the elevation.
 */

import { itemAt, numberAt } from '../../shared/assert.ts';
import { CELLS } from '../light/headspace.ts';
import { POINT_LENGTH, rowLevelAt } from '../light/row.ts';

export const HEIGHTS = ['lowest', 'middle', 'top'] as const;
export type Height = (typeof HEIGHTS)[number];

export interface AtHeight {
  readonly level: number;
  /** Undefined where nothing pulls. */
  readonly elevation: number | undefined;
}

export type Heights = Readonly<Record<Height, AtHeight>>;

/** The layer of cells of each height, counted from below. */
const LAYER: Readonly<Record<Height, number>> = {
  lowest: 0,
  middle: Math.floor(CELLS[2] / 2),
  top: CELLS[2] - 1,
};

/** One bag's light at three heights; `points` as kept of its points, `unit` of them a lux. */
export function heightsOf(points: Float64Array, unit: number): Heights {
  const at = (height: Height): AtHeight => {
    const perLayer = CELLS[0] * CELLS[1];
    let level = 0;
    const sum = [0, 0, 0];
    for (let n = LAYER[height] * perLayer; n < (LAYER[height] + 1) * perLayer; n++) {
      level += rowLevelAt(points, n * POINT_LENGTH) / unit / perLayer;
      for (let i = 0; i < 3; i++) sum[i] = itemAt(sum, i) + numberAt(points, n * POINT_LENGTH + i);
    }
    const size = Math.hypot(...sum);
    return { level, elevation: size > 0 ? (Math.asin(itemAt(sum, 2) / size) * 180) / Math.PI : undefined };
  };
  return { lowest: at('lowest'), middle: at('middle'), top: at('top') };
}

/** The worst of several: least level, steepest elevation. */
export function worstHeights(all: readonly Heights[]): Heights {
  const at = (height: Height): AtHeight => {
    const here = all.map((one) => one[height]);
    const steepest = here.reduce<number | undefined>(
      (most, { elevation }) =>
        elevation === undefined || (most !== undefined && Math.abs(most) >= Math.abs(elevation))
          ? most
          : elevation,
      undefined,
    );
    return { level: Math.min(...here.map(({ level }) => level)), elevation: steepest };
  };
  return { lowest: at('lowest'), middle: at('middle'), top: at('top') };
}
