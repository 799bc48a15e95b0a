/** Zones of a rack in words: many of them by their shelves. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { READ_MAX, shortList, stretches } from '../../words/lists.ts';

/**
 * `zones A, B and D`; of many `zones A to P`, `all 100 zones on s1 to s25`, `49 of the 100 zones on s1 to s25`, or,
 * where they are all but one of which was told before, `the other 99 zones on s1 to s25`. Names are in the plan's order.
 */
export function zonesOn(plan: ResolvedPlan, names: readonly string[], before?: string): string {
  if (names.length === 1) return `zone ${names[0]}`;
  if (names.length <= READ_MAX || stretches(names).length <= READ_MAX) return `zones ${shortList(names)}`;
  const wanted = new Set(names);
  const shelves = new Set(plan.zones.flatMap(({ name, shelf }) => (wanted.has(name) ? [shelf] : [])));
  const there = plan.zones.filter(({ shelf }) => shelves.has(shelf));
  const on = `zones on ${shortList([...shelves].map((shelf) => itemAt(plan.shelves, shelf).name))}`;
  const [left] = there.filter(({ name }) => !wanted.has(name));
  if (left === undefined) return `all ${names.length} ${on}`;
  if (left.name === before && there.length === names.length + 1) return `the other ${names.length} ${on}`;
  return `${names.length} of the ${there.length} ${on}`;
}
