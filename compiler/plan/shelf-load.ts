/**
 * What the bags of a plan weigh on each shelf.
 *
 * Always holds: every place of a zone counts with the heaviest bag that is ever to stand there, its wet
 * mix and the spawn on top; shelves, lamps and what else stands there are not counted.
 */

import { itemAt } from '../../shared/assert.ts';
import { SPAWN_SHARE } from '../resolve/builtin.ts';
import type { ResolvedPlan } from './plan.ts';

export interface ShelfLoad {
  readonly shelf: string;
  readonly bags: number;
  readonly kg: number;
}

/** The load of each shelf that bags stand on, in plan order. */
export function shelfLoads(plan: ResolvedPlan): ShelfLoad[] {
  return plan.shelves.flatMap((shelf, index) => {
    const zones = plan.zones.flatMap((zone, at) => (zone.shelf === index ? [{ zone, at }] : []));
    const loads = zones.map(({ zone, at }) => zone.places.length * heaviestIn(plan, at));
    const kg = loads.reduce((sum, one) => sum + one, 0);
    const bags = zones.reduce((sum, { zone }, i) => sum + (itemAt(loads, i) > 0 ? zone.places.length : 0), 0);
    return kg > 0 ? [{ shelf: shelf.name, bags, kg }] : [];
  });
}

/** The heaviest bag that ever stands in a zone (index), kg; 0 where none does. */
function heaviestIn(plan: ResolvedPlan, zone: number): number {
  const bags = plan.batches
    .filter(({ zones }) => zones.some((stay) => stay.zone === zone))
    .map(({ bag }) => itemAt(plan.bags, bag));
  return Math.max(0, ...bags.map(({ fill, mix }) => fill * (1 + (mix?.spawn ?? SPAWN_SHARE.value))));
}
