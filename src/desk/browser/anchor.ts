/** Where a part of the rack is, and which way it has to go. */

import type { ResolvedPlan, Vec3 } from '../../../compiler/plan/plan.ts';
import type { Movable } from '../../../compiler/write/move.ts';

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
