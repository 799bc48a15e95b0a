/** The dry mass of the mix in a bag: what yields are worked out on. */

import type { ResolvedPlan } from '../../../compiler/plan/plan.ts';
import { itemAt } from '../../../shared/assert.ts';
import { sealedOf } from '../bags/roster.ts';
import type { Note } from '../book/note.ts';
import { bagSheet } from './sheet.ts';

/** Of a bag of a batch (index), kg: as kept at sealing, else by the plan; assumed where the plan names no mix. */
export function dryMix(
  plan: ResolvedPlan,
  notes: readonly Note[],
  index: number,
): { readonly kg: number; readonly isAssumed: boolean } {
  const batch = itemAt(plan.batches, index);
  const kept = sealedOf(notes, batch.name)?.sheet.dryKg;
  const isAssumed = itemAt(plan.bags, batch.bag).mix === undefined;
  return { kg: kept ?? bagSheet(plan, batch, plan.units).dryKg, isAssumed };
}
