/**
 * How high the wet block stands in its bag.
 *
 * Always holds: the block fills the footprint evenly, mass over density.
 */

import { type Millimetres, millimetres } from '../../shared/units.ts';
import type { ResolvedBag } from './plan.ts';

/** How high the fill would stand in a bag without a top, mm. */
export function fillHeight({
  fill,
  density,
  footprint,
}: Pick<ResolvedBag, 'fill' | 'density' | 'footprint'>): number {
  const cubicMillimetres = (fill / density) * 1e6;
  return cubicMillimetres / (footprint[0] * footprint[1]);
}

/** Height of the wet block, never more than the bag's. */
export function blockHeight(
  bag: Pick<ResolvedBag, 'fill' | 'density' | 'footprint' | 'height'>,
): Millimetres {
  return millimetres(Math.min(fillHeight(bag), bag.height));
}
