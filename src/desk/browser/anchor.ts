/** Where a part of the rack is, and which way it has to go; and among the lamps of a shelf. */

import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import type { Movable } from '../../../compiler/write/move.ts';
import { sure } from '../../../shared/assert.ts';

/** Where a part is to go: so far (mm), or to a place along one axis (mm). */
export type Going = { readonly shift: Vec3 } | { readonly axis: 0 | 1 | 2; readonly to: number };

/** Where a part is by the corner or middle that is told of it, mm. */
export function anchorOf(plan: ResolvedPlan, { kind, name }: Movable): Vec3 | undefined {
  if (kind === 'lamp') {
    const shape = plan.lamps.find((one) => one.name === name)?.shape;
    if (!shape) return undefined;
    return shape.kind === 'strip' ? shape.from : shape.at;
  }
  if (kind === 'screen') return plan.screens.find((one) => one.name === name)?.from;
  const zone = plan.zones.find((one) => one.name === name);
  return zone && [zone.x[0], zone.y[0], 0];
}

/** How far a part of this plan goes, mm. */
export function shiftTo(plan: ResolvedPlan, what: Movable, going: Going): Vec3 {
  if ('shift' in going) return going.shift;
  const from = anchorOf(plan, what)?.[going.axis] ?? going.to;
  const shift: [number, number, number] = [0, 0, 0];
  shift[going.axis] = going.to - from;
  return shift;
}

/** A shift along one axis that leaves a zone on its shelf, mm; lamps and screens may go beyond its edge. */
export function keptOnShelf(plan: ResolvedPlan, what: Movable, axis: 0 | 1 | 2, shift: number): number {
  const zone = what.kind === 'zone' ? plan.zones.find(({ name }) => name === what.name) : undefined;
  if (!zone || axis === 2) return shift;
  const { width, depth } = sure(plan.shelves[zone.shelf]);
  const [span, size] = axis === 0 ? [zone.x, width] : [zone.y, depth];
  return Math.max(-span[0], Math.min(size - span[1], shift));
}

/** The height of a shelf's lamps, the middle one's where they differ, mm above it; half of its clear height without one. */
export function amongLamps(plan: ResolvedPlan, index: number): number {
  const heights = plan.lamps
    .filter(({ shelf }) => shelf === index)
    .map(({ shape }) => (shape.kind === 'strip' ? (shape.from[2] + shape.to[2]) / 2 : shape.at[2]))
    .sort((a, b) => a - b);
  const [low, high] = [heights[(heights.length - 1) >> 1], heights[heights.length >> 1]];
  return low === undefined || high === undefined ? sure(plan.shelves[index]).clear / 2 : (low + high) / 2;
}
