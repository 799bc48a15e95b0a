/**
 * The bag as the light meets it: an opaque block below, a headspace above.
 *
 * Always holds: the block fills the footprint up to fill over density; the
 * headspace is what is left up to the bag's height, and its 3 by 3 by 5 cell
 * centres are where the light is looked at.
 */

import { blockHeight } from '../plan/block-height.ts';
import type { BagPlace, ResolvedBag, Vec3 } from '../plan/plan.ts';

/** An upright box from `lo` to `hi`. */
export interface Box {
  readonly lo: Vec3;
  readonly hi: Vec3;
}

/** Cells of the headspace in x, y and z. */
export const CELLS = [3, 3, 5] as const;
/** Points looked at in one headspace. */
export const POINTS = CELLS[0] * CELLS[1] * CELLS[2];

/** Share of the bag's height left as headspace, 0–1. */
export const headspaceShare = (bag: ResolvedBag): number => 1 - blockHeight(bag) / bag.height;

/** Block and headspace of a bag standing at `place` on a surface `floor` metres up; metres. */
export function bagBoxes(bag: ResolvedBag, place: BagPlace, floor: number): { block: Box; headspace: Box } {
  const halfX = bag.footprint[0] / 2000;
  const halfY = bag.footprint[1] / 2000;
  const [x, y] = [place.x / 1000, place.y / 1000];
  const top = floor + blockHeight(bag) / 1000;
  return {
    block: { lo: [x - halfX, y - halfY, floor], hi: [x + halfX, y + halfY, top] },
    headspace: { lo: [x - halfX, y - halfY, top], hi: [x + halfX, y + halfY, floor + bag.height / 1000] },
  };
}

/** The cell centres of a headspace, x fastest. */
export function gridPoints(box: Box): Vec3[] {
  const points: Vec3[] = [];
  for (let k = 0; k < CELLS[2]; k++) {
    for (let j = 0; j < CELLS[1]; j++) {
      for (let i = 0; i < CELLS[0]; i++) {
        points.push([cell(box, 0, i), cell(box, 1, j), cell(box, 2, k)]);
      }
    }
  }
  return points;
}

function cell(box: Box, axis: 0 | 1 | 2, index: number): number {
  return box.lo[axis] + ((box.hi[axis] - box.lo[axis]) * (index + 0.5)) / CELLS[axis];
}

/** The smallest box round both. */
export function hull(a: Box, b: Box): Box {
  const low = (i: 0 | 1 | 2): number => Math.min(a.lo[i], b.lo[i]);
  const high = (i: 0 | 1 | 2): number => Math.max(a.hi[i], b.hi[i]);
  return { lo: [low(0), low(1), low(2)], hi: [high(0), high(1), high(2)] };
}

/** Whether two boxes share a point. */
export function overlaps(a: Box, b: Box): boolean {
  return (
    a.lo[0] <= b.hi[0] &&
    b.lo[0] <= a.hi[0] &&
    a.lo[1] <= b.hi[1] &&
    b.lo[1] <= a.hi[1] &&
    a.lo[2] <= b.hi[2] &&
    b.lo[2] <= a.hi[2]
  );
}
